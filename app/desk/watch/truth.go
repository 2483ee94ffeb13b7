package watch

import (
	"halocline/colour"
)

// A comparison says how a matte stands to the true one: overlap is the share of
// both together that they share (as check.Scores.IoU), missed and extra are shares
// of the true area, extra at most 1.
type comparison struct{ Overlap, Missed, Extra float64 }

// AgainstTruth compares a matte with the true one. Both must be of one size.
func AgainstTruth(matte, truth colour.Plane) comparison {
	var both, either, less, more, whole float64
	for i, a := range matte.Pix {
		a, g := float64(a), float64(truth.Pix[i])
		both += min(a, g)
		either += max(a, g)
		less += max(g-a, 0)
		more += max(a-g, 0)
		whole += g
	}
	if either == 0 {
		return comparison{Overlap: 1}
	}
	whole = max(whole, 1e-9)
	return comparison{both / either, less / whole, min(more/whole, 1)}
}
