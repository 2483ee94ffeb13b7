package check

import (
	"context"
	"fmt"

	"halocline/colour"
)

// IoU is the score of that name alone, which needs no neighbours and is quick: the sum
// of minima over the sum of maxima of a matte and its truth; nil where both are empty.
// Planes of different size are an error, and so are planes without pixels.
func IoU(ctx context.Context, matte, truth colour.Plane) (*float64, error) {
	known, _, err := knownPixels(matte, truth, nil)
	if err != nil {
		return nil, err
	}
	t, err := differences(ctx, Clamped(matte), Clamped(truth), known)
	if err != nil {
		return nil, fmt.Errorf("check: %w", err)
	}
	return t.iou(), nil
}

func (t *totals) iou() *float64 { return ratio(t.least, t.most) }

// ratio returns part / whole; nil where whole is 0.
func ratio(part, whole float64) *float64 {
	if whole == 0 {
		return nil
	}
	q := part / whole
	return &q
}
