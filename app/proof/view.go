package proof

import (
	"context"
	"fmt"
	"image"
	"image/draw"

	"halocline/app/render"
	"halocline/app/view"
)

// Views are the ways to look at a proof.
var Views = []view.View{view.Matte, view.Hatch, view.Cutout, view.Trial}

// Picture shows a region of an item's frame, empty for the whole of it, in w x h
// pixels. Every item is shown through the same sampling: pixels of the source stay
// crisp where they are larger than those of the picture, and are averaged where they
// are smaller.
func (s *Sheet) Picture(ctx context.Context, r *render.Renderer, item, frame int, v view.View, region image.Rectangle, w, h int) (*image.RGBA, error) {
	size, err := r.Size(ctx, s.Study, frame)
	if err != nil {
		return nil, err
	}
	whole := image.Rectangle{Max: size}
	if region.Empty() {
		region = whole
	}
	if region = region.Intersect(whole); region.Empty() {
		return nil, fmt.Errorf("proof: the part that is shown lies outside the frame, want some of %d x %d", size.X, size.Y)
	}
	at := fitted(region.Size(), image.Pt(w, h))
	vp := view.Viewport{W: size.X, H: size.Y, VW: at.Dx(), VH: at.Dy(), Zoom: float64(at.Dx()) / float64(region.Dx())}
	vp.X, vp.Y = float64(region.Min.X+region.Max.X)/2, float64(region.Min.Y+region.Max.Y)/2
	l, err := view.RenderAlone(ctx, r, render.Request{
		Study: s.Study, Settings: s.Items[item].Settings, Frame: frame, Region: region, Factor: view.FullFactor(vp.Zoom),
	}, v)
	if err != nil {
		return nil, err
	}
	shown := image.NewRGBA(image.Rectangle{Max: at.Size()})
	if err := new(view.Composer).Compose(ctx, shown, vp, v, v, -1, l, 0); err != nil {
		return nil, err
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	view.Clear(out)
	draw.Draw(out, at, shown, image.Point{}, draw.Src)
	return out, nil
}

// fitted is the largest rectangle of a shape in the middle of a size.
func fitted(shape, size image.Point) image.Rectangle {
	w, h := size.X, (size.X*shape.Y+shape.X/2)/shape.X
	if h > size.Y {
		w, h = (size.Y*shape.X+shape.Y/2)/shape.Y, size.Y
	}
	w, h = max(w, 1), max(h, 1)
	at := image.Pt((size.X-w)/2, (size.Y-h)/2)
	return image.Rectangle{Min: at, Max: at.Add(image.Pt(w, h))}
}
