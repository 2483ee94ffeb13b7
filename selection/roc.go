package selection

import (
	"cmp"
	"slices"
)

// A ROCPoint is what a threshold on weights does: everything that weighs at least
// Weight is kept.
type ROCPoint struct {
	Weight float64
	Kept   float64 // share of what is to be kept, [0,1]: the true positive rate
	Caught float64 // share of what is to be dropped, [0,1]: the false positive rate
}

// rocOf returns the receiver operating characteristic of weights, merged by dab, from
// nothing kept to everything, a point for each weight there is; the area under it,
// with straight lines between, is AUC. Each dab counts the same, however many weights
// it has. nil: there are no dabs of one kind.
func rocOf(keep, drop [][]weighted) []ROCPoint {
	if len(keep) == 0 || len(drop) == 0 {
		return nil
	}
	// Each dab's weights, as shares of its own kind.
	type gain struct{ weight, kept, caught float64 }
	var all []gain
	add := func(dabs [][]weighted, of func(g *gain) *float64) {
		for _, dab := range dabs {
			total := 0.0
			for _, w := range dab {
				total += w.count
			}
			for _, w := range dab {
				g := gain{weight: w.value}
				*of(&g) = w.count / (total * float64(len(dabs)))
				all = append(all, g)
			}
		}
	}
	add(keep, func(g *gain) *float64 { return &g.kept })
	add(drop, func(g *gain) *float64 { return &g.caught })
	slices.SortFunc(all, func(a, b gain) int { return cmp.Compare(b.weight, a.weight) })
	curve := []ROCPoint{{Weight: all[0].weight + 1}}
	for i, g := range all {
		p := curve[len(curve)-1]
		p.Weight, p.Kept, p.Caught = g.weight, min(1, p.Kept+g.kept), min(1, p.Caught+g.caught)
		if i > 0 && all[i-1].weight == g.weight {
			curve[len(curve)-1] = p
		} else {
			curve = append(curve, p)
		}
	}
	end := &curve[len(curve)-1]
	end.Kept, end.Caught = 1, 1 // but for rounding they are
	return curve
}

// curveSpacing is how far apart the points of a curve that is kept are: less than a
// plot can show, and few enough to be drawn as one moves.
const curveSpacing = 1. / 256

// thinned leaves out the points of a curve that lie next to others; its ends stay.
func thinned(curve []ROCPoint) []ROCPoint {
	var out []ROCPoint
	for i, p := range curve {
		if i > 0 && i < len(curve)-1 {
			before := out[len(out)-1]
			if p.Kept-before.Kept < curveSpacing && p.Caught-before.Caught < curveSpacing {
				continue
			}
		}
		out = append(out, p)
	}
	return out
}
