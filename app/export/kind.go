package export

import (
	"context"
	"fmt"
	"io"
	"strings"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
)

// Kind is what an exported picture shows.
type Kind string

// The kinds.
const (
	Matte   Kind = "matte"   // grey: the matte's alpha
	Pick    Kind = "pick"    // grey: its colour part alone
	Mask    Kind = "mask"    // grey: its masks alone
	Cutout  Kind = "cutout"  // colour: the frame after base, with the matte as its alpha, not multiplied
	Hatch   Kind = "hatch"   // colour: the frame after base, under a hatch outside the matte
	Reasons Kind = "reasons" // colour: what keeps each pixel out
	Base    Kind = "base"    // colour: the frame after base; the same for every matte
	Trial   Kind = "trial"   // colour: the frame after base, graded through all mattes
)

// Kinds of files that lie beside an export's frames.
const (
	Sheet   Kind = "sheet"   // a text that says what the mattes are
	Overlay Kind = "overlay" // one frame with its matte, small, to check against
	Movie   Kind = "movie"   // the frames one after the other
)

// IsFrame reports whether a file of the kind is a picture of a frame's own.
func (k Kind) IsFrame() bool { return k != Sheet && k != Overlay && k != Movie }

// Kinds lists those of frames.
var Kinds = []Kind{Matte, Pick, Mask, Cutout, Hatch, Reasons, Base, Trial}

// ParseKind reads a kind's name.
func ParseKind(s string) (Kind, error) {
	var names []string
	for _, k := range Kinds {
		if s == string(k) {
			return k, nil
		}
		names = append(names, string(k))
	}
	return "", fmt.Errorf("export: kind is %q, want one of %s", s, strings.Join(names, ", "))
}

// PerMatte reports whether each matte has a picture of its own of this kind.
func (k Kind) PerMatte() bool { return k != Base && k != Trial }

// hasMovie reports whether a movie can be made of pictures of the kind: those that are
// handed on, and that a movie's samples hold.
func (k Kind) hasMovie() bool {
	return k == Matte || k == Pick || k == Mask || k == Base || k == Trial
}

// samples is how many samples a pixel of a picture of the kind has.
func (k Kind) samples() int {
	switch k {
	case Matte, Pick, Mask:
		return 1
	case Cutout:
		return 4
	}
	return 3
}

// view is the view of the frame that a picture of the kind is; not ok for one without
// marks. A drawn picture depends on view.Drawing.
func (k Kind) view() (v view.View, ok bool) {
	v, err := view.Parse(string(k), view.Hatch, view.Reasons)
	return v, err == nil
}

// name is what stands for {matte} in file names: the matte's, marked with the
// kind unless it is the matte itself.
func (k Kind) name(matte string) string {
	switch k {
	case Matte:
		return matte
	case Base, Trial:
		return string(k)
	}
	return matte + "-" + string(k)
}

// A drawer makes the pictures of a job. Its encoder's buffers serve them all.
type drawer struct {
	renderer *render.Renderer
	study    *study.Study
	depth    int // bits: 8 or 16
	encoder  Encoder
}

// draw renders one picture and writes it to w. m is nil for Base and Trial.
func (d *drawer) draw(ctx context.Context, w io.Writer, k Kind, m *study.Matte, frame int) error {
	q := render.Request{Study: d.study, Frame: frame}
	if m != nil {
		q.Settings = &m.Settings
	}
	switch k {
	case Base, Hatch, Reasons, Trial:
		picture, err := d.colours(ctx, k, q)
		if err != nil {
			return err
		}
		return d.encoder.RGB(ctx, w, picture, d.depth)
	case Cutout:
		picture, alpha, err := d.renderer.Cutout(ctx, q)
		if err != nil {
			return err
		}
		return d.encoder.RGBA(ctx, w, picture, alpha, d.depth)
	}
	plane, err := d.greys(ctx, k, q)
	if err != nil {
		return err
	}
	return d.encoder.Grey(ctx, w, plane, d.depth)
}

// colours renders a kind that is a colour picture.
func (d *drawer) colours(ctx context.Context, k Kind, q render.Request) (*colour.Image, error) {
	if v, ok := k.view(); ok {
		return drawView(ctx, d.renderer, q, v, d.depth, d.encoder.Workers)
	}
	if k == Trial {
		return d.renderer.Trial(ctx, q)
	}
	return d.renderer.Shown(ctx, q)
}

// drawView renders a view and draws it.
func drawView(ctx context.Context, r *render.Renderer, q render.Request, v view.View, depth, workers int) (*colour.Image, error) {
	l, err := view.Render(ctx, r, q, v)
	if err != nil {
		return nil, err
	}
	return view.Draw(ctx, v, l, depth, workers)
}

// greys renders a kind that is a grey picture.
func (d *drawer) greys(ctx context.Context, k Kind, q render.Request) (colour.Plane, error) {
	switch k {
	case Pick:
		return d.renderer.Pick(ctx, q)
	case Mask:
		return d.renderer.Mask(ctx, q)
	}
	return d.renderer.Matte(ctx, q)
}
