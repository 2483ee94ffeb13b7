package selection

import (
	"context"

	"halocline/colour"
	"halocline/colour/guided"
)

// alignEps is the guided filter's regularisation, on a scale where guide and
// alpha go from 0 to 1: what varies by less than about 0.02 is no edge.
const alignEps = 0.02 * 0.02

// alignStride returns the side of the cells for which a radius is worked out.
// Measured on noisy edges, on checkerboards under random mattes and on faint
// edges beside those of the matte, this stays within 0.01: below radius 16 two
// rows of windows are up to 0.02 apart, below 64 four up to 0.016. Under masks,
// whose parts may be narrower than a cell, they are up to 0.03 apart at four, so
// there are never more than two.
func alignStride(radius float64, masked bool) int {
	switch {
	case masked && radius >= 96:
		return 2
	case masked || radius < 16:
		return 1
	case radius < 64:
		return 2
	}
	return 4
}

// alignWindows returns the windows for a radius.
func alignWindows(radius float64, masked bool) guided.Windows {
	return guided.Windows{Radius: radius, Eps: alignEps, Stride: alignStride(radius, masked)}
}

func alignReach(radius float64) int {
	if radius == 0 {
		return 0
	}
	return max(alignWindows(radius, false).Reach(), alignWindows(radius, true).Reach())
}

// aligner draws a matte's edges to those of a picture.
type aligner struct{ filter guided.Filter }

func (f *aligner) run(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, in domain, radius float64, workers int) error {
	if in.Mask == nil {
		in.begin(dst, src)
	} else if err := tidy(ctx, dst, src, workers); err != nil { // the filter writes only what takes part
		return err
	}
	return f.filter.Run(ctx, dst, src, guide, in.Domain, alignWindows(radius, in.masked), workers)
}
