package check

import (
	"context"
	"errors"
	"fmt"
	"math"

	"halocline/colour"
)

// A Change says how far one matte is from another of the same frame: two exports of one
// shot. Neither of them counts as the truth.
type Change struct {
	IoU     *float64 // sum of minima over sum of maxima; nil where both are empty
	Mean    float64  // the mean of |a-b| over all pixels
	Largest float64  // the largest |a-b| of any pixel
}

// Compare returns the change from matte a to b. Planes of different size are an error, and
// so are planes without pixels.
func Compare(ctx context.Context, a, b colour.Plane) (Change, error) {
	switch {
	case !a.SameSize(b):
		return Change{}, fmt.Errorf("check: one matte is %d x %d, the other %d x %d", a.W, a.H, b.W, b.H)
	case len(a.Pix) == 0:
		return Change{}, errors.New("check: the mattes are empty")
	}
	a, b = Clamped(a), Clamped(b)
	t, err := differences(ctx, a, b, nil)
	if err != nil {
		return Change{}, fmt.Errorf("check: %w", err)
	}
	c := Change{IoU: t.iou(), Mean: t.sad / float64(len(a.Pix))}
	for i, v := range a.Pix {
		c.Largest = max(c.Largest, math.Abs(float64(v)-float64(b.Pix[i])))
	}
	return c, nil
}

// Difference returns a picture of the change from matte a to b, which have one size: one half
// where they are the same, lighter where b keeps more, darker where it keeps less.
func Difference(a, b colour.Plane) colour.Plane {
	a, b = Clamped(a), Clamped(b)
	d := colour.NewPlane(a.W, a.H)
	for i, v := range a.Pix {
		d.Pix[i] = (b.Pix[i] - v + 1) / 2
	}
	return d
}
