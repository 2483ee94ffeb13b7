package guided

import "math"

// Windows are those in which alpha is fitted to the guide.
type Windows struct {
	// Radius is how many pixels a window reaches to either side of its middle:
	// from (Stride-1)/2 to MaxRadius. Between two whole numbers, the outermost
	// pixels of a window count for that share.
	Radius float64

	// Eps is the regularisation, from MinEps to 1, on a scale where guide and
	// alpha go from 0 to 1: what varies by less than about its root is no edge.
	Eps float64

	// Stride is the side, in pixels, of the cells that have one window each: 1
	// (a window about every pixel), 2 or 4. Cells begin at the upper left corner
	// of the box. Between their middles, the windows' mean coefficients are
	// interpolated.
	Stride int
}

// Ends of what windows may be.
const (
	MaxRadius = 1000 // px: keeps the sums below 2^63
	MinEps    = 5e-5 // keeps the sum of a cell's coefficients below 2^32
)

// Reach returns how many pixels away a sample may change a result.
func (w Windows) Reach() int {
	cells, _, _ := boxReach(w.half())
	return w.Stride * (2*(cells+1) + 2)
}

// half returns half the width of a window in cells.
func (w Windows) half() float64 {
	return (2*w.Radius + 1) / float64(2*w.Stride)
}

// eps returns Eps on the scale of the samples. It goes by way of the inverse:
// where that is a whole number, the result is rounded once and is the nearest
// to what the decimal digits of Eps say.
func (w Windows) eps() float64 { return guideOne * guideOne / (1 / w.Eps) }

// coefZero returns what is added to coefficients, so that they are not negative.
// Those of the guide are within 0.5/(2 sqrt(eps)): alpha deviates by 0.5 at the
// most, and sigma/(sigma^2+eps) is at most 1/(2 sqrt(eps)). The constant one is
// within sqrt(3) times that, the longest colour, and 1. A power of two: adding and
// taking it off again rounds no more than need be.
func (w Windows) coefZero() float64 {
	most := 1 + math.Sqrt(3)*0.5/(2*math.Sqrt(w.Eps))
	zero := 1.
	for zero < most {
		zero *= 2
	}
	return zero
}

func (w Windows) mustBeInRange() {
	switch {
	case w.Stride != 1 && w.Stride != 2 && w.Stride != 4:
		panic("guided: found cells of another side, want 1, 2 or 4 pixels")
	case !(w.half() >= 0.5) || w.Radius > MaxRadius:
		panic("guided: found windows smaller than a cell or larger than the largest radius")
	case !(w.Eps >= MinEps && w.Eps <= 1):
		panic("guided: found a regularisation out of range")
	}
}
