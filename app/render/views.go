package render

import (
	"context"
	"image"

	"halocline/colour"
	"halocline/selection"
)

// Drawing is the version of what is drawn over a picture: the patterns of reasons
// and the hatch. It rises with every change that alters a byte of them.
const Drawing = 1

// The Reasons view: what is kept shows as it is; what is rejected is grey, under
// a pattern that says what rejects it. Patterns repeat every tile pixels, on the
// picture's own grid, so that they stand still when it is panned.
const tile = 8

// marks reports whether a pixel bears its reason's pattern: upright lines for
// hue, level lines for saturation or chroma, dots for lightness, a wide lattice
// for masks, small checks for the edge.
func marks(r selection.Reason, x, y int) bool {
	u, v := x%tile, y%tile
	switch r {
	case selection.ByHue:
		return u < 2
	case selection.BySat:
		return v < 2
	case selection.ByLight:
		return (u == 2 || u == 3) && (v == 2 || v == 3) || (u == 6 || u == 7) && (v == 6 || v == 7)
	case selection.ByMask:
		return (x+y)%(2*tile) < 2 || (x-y+16*tile*1024)%(2*tile) < 2
	case selection.ByEdge:
		return (x/2+y/2)%2 == 0
	}
	return false
}

// How rejected pixels are drawn, in display-encoded values: the picture's
// luma, dimmed so that what is in stands out, and lifted under a mark.
const (
	rejectedShare = 0.35
	rejectedFloor = 0.08
	markLift      = 0.14
)

// ReasonsView returns the Reasons view. Its legend is the shares.
func (r *Renderer) ReasonsView(ctx context.Context, q Request) (*colour.Image, Shares, error) {
	shown, at, err := r.shownAt(ctx, q)
	if err != nil {
		return nil, Shares{}, err
	}
	reasons, err := r.Reasons(ctx, q)
	if err != nil {
		return nil, Shares{}, err
	}
	w, h := shown.Size()
	out := colour.NewImage(w, h)
	err = colour.EachBand(ctx, r.workers, h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			reasonsRow(rowOf(out, y), rowOf(shown, y), reasons[y*w:(y+1)*w], at.Add(image.Pt(0, y)))
		}
	})
	return out, shareOf(reasons), err
}

// shownAt returns what is shown, and where on the frame's grid it begins.
func (r *Renderer) shownAt(ctx context.Context, q Request) (*colour.Image, image.Point, error) {
	p, err := r.part(ctx, q)
	if err != nil {
		return nil, image.Point{}, err
	}
	m, err := r.Shown(ctx, q)
	return m, p.want.Min, err
}

// A pixels is one row of a picture: R, G, B.
type pixels [3][]float32

func rowOf(m *colour.Image, y int) pixels { return pixels{m.R.Row(y), m.G.Row(y), m.B.Row(y)} }

func reasonsRow(out, shown pixels, reasons []selection.Reason, at image.Point) {
	for x, why := range reasons {
		r, g, b := shown[0][x], shown[1][x], shown[2][x]
		if why == selection.In {
			out[0][x], out[1][x], out[2][x] = r, g, b
			continue
		}
		grey := rejectedFloor + float32(rejectedShare*(r+g+b))/3
		if marks(why, at.X+x, at.Y) {
			grey += markLift
		}
		out[0][x], out[1][x], out[2][x] = grey, grey, grey
	}
}

// Shares says how much of a frame each reason takes, indexed by
// selection.Reason; they sum to 1.
type Shares [6]float64

func shareOf(reasons []selection.Reason) (s Shares) {
	var n [len(s)]int
	for _, r := range reasons {
		n[r]++
	}
	for i := range s {
		s[i] = float64(n[i]) / float64(max(len(reasons), 1))
	}
	return s
}
