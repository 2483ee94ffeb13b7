package render

import (
	"context"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// The Reasons view: what is held shows as it is; what is rejected is grey, under
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
// luma, held back so that what is in stands out, and lifted under a mark.
const (
	rejectedShare = 0.35
	rejectedFloor = 0.08
	markLift      = 0.14
)

// ReasonsView returns the Reasons view of a frame. Its legend is the shares.
func (r *Renderer) ReasonsView(ctx context.Context, s *study.Study, set *study.Settings, frame int) (*colour.Image, Shares, error) {
	shown, err := r.Shown(ctx, s, frame)
	if err != nil {
		return nil, Shares{}, err
	}
	reasons, err := r.Reasons(ctx, s, set, frame)
	if err != nil {
		return nil, Shares{}, err
	}
	w, h := shown.Size()
	out := colour.NewImage(w, h)
	err = colour.EachBand(ctx, r.workers, h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			reasonsRow(out, shown, reasons[y*w:(y+1)*w], y)
		}
	})
	return out, shareOf(reasons), err
}

func reasonsRow(out, shown *colour.Image, reasons []selection.Reason, y int) {
	r, g, b := shown.R.Row(y), shown.G.Row(y), shown.B.Row(y)
	toR, toG, toB := out.R.Row(y), out.G.Row(y), out.B.Row(y)
	for x, why := range reasons {
		if why == selection.In {
			toR[x], toG[x], toB[x] = r[x], g[x], b[x]
			continue
		}
		grey := rejectedFloor + rejectedShare*(r[x]+g[x]+b[x])/3
		if marks(why, x, y) {
			grey += markLift
		}
		toR[x], toG[x], toB[x] = grey, grey, grey
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
