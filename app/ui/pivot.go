package ui

import (
	"strconv"

	"halocline/app/study"
	"halocline/colour"
)

// A CDL's numbers do not have the pivot that contrast was set about, and without
// it the controls would read something else the next time. So the study carries
// it along, by matte, in its field for such things:
//
//	{"trialPivots": {"2": 0.35}}
const pivotsField = "trialPivots"

// The least and the largest pivot, as an encoded value.
const leastPivot, largestPivot = 0.02, 1

// pivotOf is the pivot of a matte's contrast. What is there and is none is passed
// over: the field may be anybody's.
func pivotOf(s *study.Study, matteID int) float64 {
	if v, ok := pivotsIn(s)[strconv.Itoa(matteID)]; ok && v >= leastPivot && v <= largestPivot {
		return v
	}
	return colour.MiddlePivot
}

func pivotsIn(s *study.Study) map[string]float64 {
	pivots := map[string]float64{}
	if !s.ReadExtra(pivotsField, &pivots) {
		return map[string]float64{}
	}
	return pivots
}

// setPivot keeps a matte's pivot in the study, beside whatever it carries.
func setPivot(s *study.Study, matteID int, pivot float64) error {
	pivots := pivotsIn(s)
	pivots[strconv.Itoa(matteID)] = pivot
	return s.SetExtra(pivotsField, pivots)
}
