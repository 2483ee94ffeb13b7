package ui

import (
	"math"

	"halocline/colour"
)

// againstTruth compares a matte with the true one: the part of both together
// that they share, and the parts of the truth that are missed and added. Planes
// have one size.
func againstTruth(matte, truth colour.Plane) (overlap, missed, added float64) {
	var both, either, less, more, whole float64
	for i, a := range matte.Pix {
		a, g := float64(a), float64(truth.Pix[i])
		both += math.Min(a, g)
		either += math.Max(a, g)
		less += math.Max(g-a, 0)
		more += math.Max(a-g, 0)
		whole += g
	}
	if either == 0 {
		return 1, 0, 0
	}
	whole = math.Max(whole, 1e-9)
	return both / either, less / whole, math.Min(more/whole, 1)
}
