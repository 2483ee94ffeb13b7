package seam

import (
	"context"
	"errors"
	"fmt"
	"math"

	"halocline/colour"
)

// A Sweep is the figures of a matte at several softnesses.
type Sweep struct {
	Softness []float64 `json:"softness"` // px, rising
	Figures  []Figures `json:"figures"`
	Best     float64   `json:"best"` // px: the softness of least misfit
}

// Sweep judges what matte makes of each softness, in px, rising. The picture's
// part is not worked out again. The softness of least misfit is read off a
// parabola through the squares of the least one and of its neighbours; a grade is
// not needed for it.
func (s *Seam) Sweep(ctx context.Context, softness []float64, change float64, workers int, matte func(ctx context.Context, softenPx float64) (colour.Plane, error)) (Sweep, error) {
	if len(softness) == 0 {
		return Sweep{}, errors.New("seam: a sweep needs a softness")
	}
	out := Sweep{Softness: softness, Figures: make([]Figures, len(softness))}
	for i, soften := range softness {
		if i > 0 && !(soften > softness[i-1]) {
			return Sweep{}, fmt.Errorf("seam: a sweep's softness %v comes after %v, want rising ones", soften, softness[i-1])
		}
		m, err := matte(ctx, soften)
		if err != nil {
			return Sweep{}, err
		}
		if out.Figures[i], err = s.Judge(ctx, m, change, workers); err != nil {
			return Sweep{}, err
		}
	}
	out.Best = out.Least()
	return out, nil
}

// Least returns the softness of least misfit, or the value of whatever else was swept
// over, of one or more: Best is worked out by it.
func (w Sweep) Least() float64 {
	at := 0
	for i, f := range w.Figures {
		if f.EdgeMismatch < w.Figures[at].EdgeMismatch {
			at = i
		}
	}
	if at == 0 || at == len(w.Figures)-1 {
		return w.Softness[at]
	}
	square := func(i int) float64 { return w.Figures[i].EdgeMismatch * w.Figures[i].EdgeMismatch }
	before, after := w.Softness[at-1]-w.Softness[at], w.Softness[at+1]-w.Softness[at]
	fall, rise := (square(at-1)-square(at))/before, (square(at+1)-square(at))/after
	// Newton's divided differences: y = fall x + bend x (x - before).
	bend := (rise - fall) / (after - before)
	if !(bend > 0) {
		return w.Softness[at]
	}
	best := before/2 - fall/(2*bend)
	if math.IsNaN(best) {
		return w.Softness[at]
	}
	return w.Softness[at] + min(max(best, before), after)
}
