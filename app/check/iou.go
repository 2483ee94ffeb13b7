package check

import (
	"context"
	"errors"
	"fmt"

	"halocline/colour"
)

// IoU is the score of that name alone, which needs no neighbours and is quick:
// the sum of minima over the sum of maxima of a matte and its truth. Planes of
// different size are an error, and so are two that are empty.
func IoU(ctx context.Context, matte, truth colour.Plane) (float64, error) {
	known, _, err := knownPixels(matte, truth, nil)
	if err != nil {
		return 0, err
	}
	t, err := differences(ctx, clamped(matte), clamped(truth), known)
	switch {
	case err != nil:
		return 0, fmt.Errorf("check: %w", err)
	case t.most == 0:
		return 0, errors.New("check: both the matte and the truth are empty")
	}
	return t.least / t.most, nil
}
