package check

import (
	"context"
	"errors"
	"fmt"
	"math"

	"halocline/colour"
)

// DtSSD returns how much a matte's change from one frame to the next differs
// from its truth's: sqrt(sum ((a2-a1) - (g2-g1))^2) over all pixels of the
// frame, not divided by their number; over a clip it is averaged over the pairs
// of frames. M. Erofeev, Y. Gitman, D. Vatolin, A. Fedorov and J. Wang 2015,
// "Perceptually Motivated Benchmark for Video Matting", BMVC; the form is that of
// public evaluation code, which also knows 100 sqrt(mean). Planes of different
// size and empty ones are errors.
func DtSSD(ctx context.Context, before, matte, truthBefore, truth colour.Plane) (float64, error) {
	for _, p := range []colour.Plane{before, truthBefore, truth} {
		if !p.SameSize(matte) {
			return 0, fmt.Errorf("check: the matte is %d x %d, another of the four planes %d x %d", matte.W, matte.H, p.W, p.H)
		}
	}
	if len(matte.Pix) == 0 {
		return 0, errors.New("check: the matte is empty")
	}
	a1, a2, g1, g2 := Clamped(before), Clamped(matte), Clamped(truthBefore), Clamped(truth)
	sum := 0.0
	for i := range a1.Pix {
		d := float64(a2.Pix[i]-a1.Pix[i]) - float64(g2.Pix[i]-g1.Pix[i])
		sum += float64(d * d)
	}
	return math.Sqrt(sum), ctx.Err()
}
