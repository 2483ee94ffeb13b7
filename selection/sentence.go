package selection

import "fmt"

// What counts as enough, in the chance that a pair of pixels is told apart.
// A wrong pair in 50 still leaves a ragged edge that the edge treatment can
// mend; one in ten is holes and patches that only a mask can (common practice,
// no source).
const (
	separatesAll  = 0.98
	separatesMost = 0.90
	// notable is a difference that three dabs of a kind can just show.
	notable = 0.05
)

// offerPlane is how much better than three ranges a plane must tell left-out dabs apart to
// be offered, in the chance that a pair of pixels is told apart, and dabsForPlane how many
// dabs of each kind that takes: with fewer, the two cannot be told from each other.
const (
	offerPlane   = notable
	dabsForPlane = 6
)

// OffersPlane reports whether a pick by plane is worth being offered in place of three
// ranges.
func (s Separation) OffersPlane() bool {
	return s.Model != PlaneModel && min(s.Keep, s.Drop) >= dabsForPlane && s.Plane.Could.Value > s.Pick.Could.Value+offerPlane
}

// Offer says how much better a plane does where it is offered, else "".
func (s Separation) Offer() string {
	if !s.OffersPlane() {
		return ""
	}
	return fmt.Sprintf("A plane tells %.0f of 100 apart, the ranges %.0f.", 100*s.Plane.Could.Value, 100*s.Pick.Could.Value)
}

// Sentence says in plain words how far colour alone tells apart what the dabs ask
// for, and what to do next.
func (s Separation) Sentence() string {
	if !s.Enough() {
		return fmt.Sprintf("Found %s and %s: set at least two of each kind to learn how far colour alone tells them apart.",
			countOf(s.Keep, "keep dab"), countOf(s.Drop, "drop dab"))
	}
	could, set, plane := s.Pick.Could.Value, s.Pick.Set.Value, s.Plane.Could.Value
	pairs := fmt.Sprintf("Of 100 pairs of a kept and a dropped pixel, it tells %.0f apart.", 100*could)
	switch {
	case s.Pick.setTooBadly() && s.Model == PlaneModel:
		return fmt.Sprintf("The plane as it is set tells %.0f of 100 pairs apart, a fitted one could tell %.0f: fit it to the dabs again.", 100*set, 100*could)
	case s.Pick.setTooBadly():
		return fmt.Sprintf("The ranges as they are set tell %.0f of 100 pairs apart, fitted ones could tell %.0f: fit them to the dabs again.", 100*set, 100*could)
	case could >= separatesAll:
		return "Colour alone does it. " + pairs
	case s.OffersPlane():
		rest := ""
		if plane < separatesAll {
			rest = " A mask must take the rest."
		}
		return s.Offer() + " Try the model plane." + rest
	case s.Model != PlaneModel && plane > could+notable && plane >= separatesMost:
		return fmt.Sprintf("Three ranges tell %.0f of 100 pairs apart, a slanted plane could tell %.0f: try the other model, or two mattes. A mask must take the rest.", 100*could, 100*plane)
	case could >= separatesMost:
		return "Colour nearly does it; a mask must take the rest. " + pairs
	}
	return "Colour alone cannot do it: draw a keep mask. " + pairs
}

func countOf(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
