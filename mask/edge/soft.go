package edge

import (
	"context"
	"image"

	"halocline/colour"
	"halocline/mask"
)

// The soft edge: the guided filter of K. He, J. Sun & X. Tang 2013 over the cut.
const (
	softRadius = 4 // pixels
	softEps    = 1e-4
)

// soft makes weights of what was found.
func (g *ground) soft(ctx context.Context, crop image.Rectangle, picture *colour.Image) (*Found, error) {
	hard := colour.NewPlane(crop.Dx(), crop.Dy())
	at := crop.Min.Sub(g.area.Min)
	for y := range hard.H {
		found := g.found[(y+at.Y)*g.w+at.X:][:hard.W]
		row := hard.Row(y)
		for x, in := range found {
			if in {
				row[x] = 1
			}
		}
	}
	out := hard
	_ = ctx
	_ = picture
	for y := range out.H {
		place := g.place[(y+at.Y)*g.w+at.X:][:out.W]
		row := out.Row(y)
		for x, p := range place {
			switch p {
			case sureOut:
				row[x] = 0
			case sureIn:
				row[x] = 1
			}
		}
	}
	f := &Found{Weights: mask.Raster{X0: crop.Min.X, Y0: crop.Min.Y, Plane: out}}
	f.Contours = contours(g.beyond(out, at), g.area.Min)
	f.Outline = tied(f.Contours)
	return f, nil
}

// beyond goes on with weights beyond the frame, as far as the outline reaches: as at the
// nearest pixel of the frame.
func (g *ground) beyond(in colour.Plane, at image.Point) colour.Plane {
	if in.W == g.w && in.H == g.h {
		return in
	}
	out := colour.NewPlane(g.w, g.h)
	for y := range g.h {
		from := in.Row(min(max(y-at.Y, 0), in.H-1))
		row := out.Row(y)
		for x := range row {
			v := from[min(max(x-at.X, 0), in.W-1)]
			if y-at.Y >= 0 && y-at.Y < in.H && x-at.X >= 0 && x-at.X < in.W || g.depth == nil || g.depth[y*g.w+x] > 0 {
				row[x] = v
			}
		}
	}
	return out
}
