package watch

import (
	"context"

	"halocline/app/check"
	"halocline/colour"
)

// A comparison says how a matte stands to the true one: overlap is their IoU, 1 where
// both are empty; missed and extra are shares of the true area, extra at most 1.
type comparison struct{ Overlap, Missed, Extra float64 }

// againstTruth compares planes of one size.
func againstTruth(ctx context.Context, matte, truth colour.Plane) (comparison, error) {
	iou, err := check.IoU(ctx, matte, truth)
	if err != nil {
		return comparison{}, err
	}
	if iou == nil {
		return comparison{Overlap: 1}, nil
	}
	var less, more, whole float64
	for i, a := range matte.Pix {
		a, g := float64(a), float64(truth.Pix[i])
		less += max(g-a, 0)
		more += max(a-g, 0)
		whole += g
	}
	whole = max(whole, 1e-9)
	return comparison{*iou, less / whole, min(more/whole, 1)}, nil
}
