package check

import (
	"context"
	"errors"
	"fmt"

	"halocline/colour"
)

// Scores say how near a matte is to the truth. A score that has no meaning for
// a picture is nil, and Undefined says why under its name.
type Scores struct {
	SAD              float64           `json:"sad"`
	MSE              float64           `json:"mse"`
	MAE              float64           `json:"mae"`
	IoU              *float64          `json:"iou,omitempty"`
	BalancedAccuracy *float64          `json:"balancedAccuracy,omitempty"`
	Gradient         float64           `json:"gradient"`
	Connectivity     float64           `json:"connectivity"`
	Pixels           int               `json:"pixels"` // that were judged
	Undefined        map[string]string `json:"undefined,omitempty"`
}

// Score judges a matte against the truth. Where unknown, if it is given, is not
// 0, the truth is not known: those pixels are left out of every sum. The
// gradient next to such a pixel, up to 4 px away, and the connected sets are
// still taken from the whole planes, as they cannot be told from a part.
//
// Planes of different size, empty ones, and a truth that is known nowhere are
// errors. Nothing is kept of the planes.
func Score(ctx context.Context, matte, truth colour.Plane, unknown *colour.Plane) (Scores, error) {
	known, pixels, err := knownPixels(matte, truth, unknown)
	if err != nil {
		return Scores{}, err
	}
	a, g := Clamped(matte), Clamped(truth)
	t, err := differences(ctx, a, g, known)
	if err != nil {
		return Scores{}, fmt.Errorf("check: %w", err)
	}
	s := Scores{SAD: t.sad, MSE: t.squares / float64(pixels), MAE: t.sad / float64(pixels), Pixels: pixels}
	s.IoU = s.noted("iou", t.iou(), "both the matte and the truth are empty")
	in := s.noted("balancedAccuracy", ratio(float64(t.bothIn), float64(t.in)), "no pixel of the truth is in")
	out := s.noted("balancedAccuracy", ratio(float64(t.bothOut), float64(t.out)), "no pixel of the truth is out")
	if in != nil && out != nil {
		mean := (*in + *out) / 2
		s.BalancedAccuracy = &mean
	}
	if s.Gradient, err = gradientError(ctx, a, g, known); err != nil {
		return Scores{}, fmt.Errorf("check: %w", err)
	}
	if s.Connectivity, err = connectivityError(ctx, a, g, known); err != nil {
		return Scores{}, fmt.Errorf("check: %w", err)
	}
	return s, nil
}

// noted returns a score; where it is nil, it notes why.
func (s *Scores) noted(name string, score *float64, why string) *float64 {
	if score == nil {
		if s.Undefined == nil {
			s.Undefined = map[string]string{}
		}
		s.Undefined[name] = why
	}
	return score
}

// knownPixels returns at which pixels the truth is known (nil = all), how many they are, or
// why nothing can be.
func knownPixels(matte, truth colour.Plane, unknown *colour.Plane) (known []bool, pixels int, err error) {
	switch {
	case !matte.SameSize(truth):
		return nil, 0, fmt.Errorf("check: the matte is %d x %d, its truth %d x %d", matte.W, matte.H, truth.W, truth.H)
	case len(matte.Pix) == 0:
		return nil, 0, errors.New("check: the matte is empty")
	case unknown == nil:
		return nil, len(matte.Pix), nil
	case !matte.SameSize(*unknown):
		return nil, 0, fmt.Errorf("check: the matte is %d x %d, its unknown part %d x %d", matte.W, matte.H, unknown.W, unknown.H)
	}
	known = make([]bool, len(unknown.Pix))
	for i, u := range unknown.Pix {
		if u == 0 {
			known[i] = true
			pixels++
		}
	}
	if pixels == 0 {
		return nil, 0, errors.New("check: the truth is known nowhere")
	}
	return known, pixels, nil
}

// Clamped returns p with its samples in [0,1], which is p itself where they are.
func Clamped(p colour.Plane) colour.Plane {
	for i, v := range p.Pix {
		if v >= 0 && v <= 1 {
			continue
		}
		q := colour.NewPlane(p.W, p.H)
		copy(q.Pix, p.Pix)
		for j, v := range q.Pix[i:] {
			q.Pix[i+j] = Alpha(v)
		}
		return q
	}
	return p
}

// Alpha clamps a sample to [0,1]; what is not a number is 0.
func Alpha(v float32) float32 {
	if !(v > 0) {
		return 0
	}
	return min(v, 1)
}

// totals are sums over judged pixels.
type totals struct {
	sad, squares    float64
	least, most     float64 // of both alphas
	in, out         int     // by the truth
	bothIn, bothOut int     // of those, by the matte as well
}

func (t *totals) add(u totals) {
	t.sad += u.sad
	t.squares += u.squares
	t.least += u.least
	t.most += u.most
	t.in += u.in
	t.out += u.out
	t.bothIn += u.bothIn
	t.bothOut += u.bothOut
}

// differences sums what needs no neighbours. known is nil for all pixels.
func differences(ctx context.Context, a, g colour.Plane, known []bool) (totals, error) {
	rows := make([]totals, a.H) // summed in order, for any number of workers
	err := colour.EachBand(ctx, 0, a.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			rows[y] = rowDifferences(a.Row(y), g.Row(y), knownRow(known, y, a.W))
		}
	})
	var sum totals
	for _, r := range rows {
		sum.add(r)
	}
	return sum, err
}

// knownRow returns row y of known, nil where that is nil.
func knownRow(known []bool, y, w int) []bool {
	if known == nil {
		return nil
	}
	return known[y*w : (y+1)*w]
}

func rowDifferences(a, g []float32, known []bool) (t totals) {
	g = g[:len(a)]
	for x := range a {
		if known != nil && !known[x] {
			continue
		}
		va, vg := float64(a[x]), float64(g[x])
		d := va - vg
		t.squares += float64(d * d)
		lo, hi := va, vg
		if d > 0 {
			lo, hi = vg, va
		}
		t.sad += hi - lo
		t.least += lo
		t.most += hi
		switch {
		case vg >= 0.5:
			t.in++
			if va >= 0.5 {
				t.bothIn++
			}
		default:
			t.out++
			if va < 0.5 {
				t.bothOut++
			}
		}
	}
	return t
}
