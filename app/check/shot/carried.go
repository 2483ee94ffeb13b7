package shot

import (
	"context"
	"math"

	"halocline/app/render"
	"halocline/colour"
)

// carriedChange fills in how much the matte changed from the one before, carried along the
// motion of the picture.
func (p *pass) carriedChange(ctx context.Context, r *render.Renderer, f *Frame, now, before *moment) error {
	if !p.Carry {
		return nil
	}
	carried, ok, err := r.CarriedFromBefore(ctx, now.request, before.matte)
	if ok {
		f.CarriedChange = meanChange(now.matte, carried)
	}
	return err
}

// meanChange is the mean difference of two mattes over the pixels where either is above 0; nil
// where there is none.
func meanChange(a, b colour.Plane) *float64 {
	sum, n := 0., 0
	for i, v := range a.Pix {
		if w := b.Pix[i]; v > 0 || w > 0 {
			sum += math.Abs(float64(v - w))
			n++
		}
	}
	if n == 0 {
		return nil
	}
	return pointer(sum / float64(n))
}
