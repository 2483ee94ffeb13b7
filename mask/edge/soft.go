package edge

import (
	"context"
	"image"

	"halocline/colour"
	"halocline/colour/guided"
	"halocline/mask"
)

// The soft edge: the guided filter over the cut, of this radius and regularisation.
const (
	softRadius = 4 // pixels
	softEps    = 1e-4
)

var guide guided.Filter // keeps its buffers

// soft makes weights of what was found: the cut, softened where the picture itself is soft.
// What the outline or a dab decides stays.
func (g *ground) soft(ctx context.Context, crop image.Rectangle, picture *colour.Image, workers int) (*Found, error) {
	at := crop.Min.Sub(g.area.Min)
	hard := colour.NewPlane(crop.Dx(), crop.Dy())
	g.each(at, &hard, func(i int, v *float32) {
		if g.found[i] {
			*v = 1
		}
	})
	windows := guided.Windows{Radius: softRadius * g.unit, Eps: softEps, Stride: 1}
	out := colour.NewPlane(hard.W, hard.H)
	if err := guide.Run(ctx, &out, &hard, picture, colour.Domain{Box: out.Bounds()}, windows, workers); err != nil {
		return nil, err
	}
	g.each(at, &out, func(i int, v *float32) {
		switch g.place[i] {
		case sureOut:
			*v = 0
		case sureIn:
			*v = 1
		}
	})
	loops := contours(g.beyond(out, at), g.area.Min)
	if len(loops) == 0 { // specks alone
		return &Found{Lost: true}, nil
	}
	largestFirst(loops)
	return &Found{
		Weights: mask.Raster{X0: crop.Min.X, Y0: crop.Min.Y, Plane: out},
		Outline: tied(loops), Contours: loops,
	}, nil
}

// each calls visit for the samples of a plane that lies at a place of the ground, with the
// ground's pixel.
func (g *ground) each(at image.Point, p *colour.Plane, visit func(i int, v *float32)) {
	for y := range p.H {
		row := p.Row(y)
		for x := range row {
			visit((y+at.Y)*g.w+x+at.X, &row[x])
		}
	}
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
			i := y*g.w + x
			if g.place[i] != offFrame || g.filled[i] {
				row[x] = from[min(max(x-at.X, 0), in.W-1)]
			}
		}
	}
	return out
}
