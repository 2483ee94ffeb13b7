package export

import (
	"context"
	"fmt"
	"image"
	"io"

	"halocline/app/render"
	"halocline/app/view"
)

// overlaySide is the longest side of an overlay in pixels: enough to see an edge
// that is a pixel or two off, and a megabyte or so.
const overlaySide = 1280

// overlayFactor is how many pixels each way of a frame become one of its overlay.
func overlayFactor(size image.Point) int {
	return (max(size.X, size.Y) + overlaySide - 1) / overlaySide
}

// overlay makes a matte's overlay: one frame after base, under a hatch outside the
// matte.
func (r *run) overlay(ctx context.Context, x extra, i int, e Entry) (Entry, bool, error) {
	e.Frame = r.reference(x.matte)
	t := task{matte: x.matte, frame: e.Frame}
	own, err := r.footage.of(ctx, new(worker), r.Job, t)
	if err != nil {
		return e, false, fmt.Errorf("export: frame %d: %w", e.Frame, err)
	}
	if own == nil {
		own = []byte(" ") // so it stands in the digests that earlier exports wrote
	}
	e.Digest = digestOf("overlay of %s%s up to %d drawing %d", r.Study.Digest(e.Frame, x.matte), own, overlaySide, view.Drawing)
	return r.putExtra(ctx, x, i, e, func(w io.Writer) error {
		renderer := r.Renderer.Alone(0, render.DefaultCache)
		size, err := renderer.Size(ctx, r.Study, e.Frame)
		if err != nil {
			return err
		}
		q := render.Request{Study: r.Study, Settings: &x.matte.Settings, Frame: e.Frame, Factor: overlayFactor(size)}
		m, err := drawView(ctx, renderer, q, view.Hatch, 8, 0)
		if err != nil {
			return err
		}
		return new(Encoder).RGB(ctx, w, m, 8)
	})
}
