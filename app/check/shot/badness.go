package shot

import (
	"math"
	"slices"
)

// The traits by which a frame stands out.
const (
	byFlicker = iota
	byBand
	byCut
	byShift    // see compareShifts
	byCrossing // see compareCrossings
	byDoubt    // see compareConfidence
	byDropped
	byChange
	byBad
	byColours // from here on see compareWithLooked
	byArea
	byFilled
	byWidth
	byCore
	traits
)

// A trait is one figure of a frame, and the median absolute deviation that is
// taken for the clip's where that is smaller: what nobody would call a change.
type trait struct {
	of    func(*Judged) *float64
	floor float64
	masks bool // it is mended at a mask
}

var traitTable = [traits]trait{
	byFlicker:  {of: func(j *Judged) *float64 { return j.Flicker }, floor: 0.004},
	byBand:     {of: func(j *Judged) *float64 { return j.Band }, floor: 0.005, masks: true},
	byCut:      {of: func(j *Judged) *float64 { return j.cut() }, floor: 1. / 220, masks: true},
	byShift:    {floor: 1. / 640, masks: true},
	byCrossing: {masks: true},
	byDoubt:    {masks: true},
	byDropped:  {of: func(j *Judged) *float64 { return j.Dropped }, floor: 0.005},
	byChange:   {of: func(j *Judged) *float64 { return j.Change }, floor: 0.01},
	byBad:      {of: func(j *Judged) *float64 { return pointer(float64(j.Specks + j.Holes)) }, floor: 2},
}

// normal takes a median absolute deviation to the standard deviation of a normal
// distribution: 1 / its 3/4 quantile (P. J. Rousseeuw and C. Croux 1993, J. Am.
// Stat. Assoc. 88:1273).
const normal = 1.482602218505602

// median sorts values, which are one or more, and returns their median; of an
// even number the mean of the middle two.
func median(values []float64) float64 {
	slices.Sort(values)
	n := len(values)
	return (values[(n-1)/2] + values[n/2]) / 2
}

// spread returns the median of values, of which there are some, and their median
// absolute deviation from it. It changes values.
func spread(values []float64) (middle, mad float64) {
	middle = median(values)
	for i, v := range values {
		values[i] = math.Abs(v - middle)
	}
	return middle, median(values)
}

// compare works out how each frame stands out from the others. Only what is worse
// than the median counts.
func compare(all []Judged) {
	for k, t := range traitTable {
		if t.of == nil {
			continue
		}
		var values []float64
		for i := range all {
			if v := all[i].figure(t); v != nil {
				values = append(values, *v)
			}
		}
		if len(values) == 0 {
			continue
		}
		middle, mad := spread(values)
		for i := range all {
			if v := all[i].figure(t); v != nil {
				all[i].stands(k, (*v-middle)/(normal*max(mad, t.floor)))
			}
		}
	}
	compareShifts(all)
	compareCrossings(all)
	compareConfidence(all)
	compareAreas(all)
	compareWithLooked(all)
}

// longCrossing is the length, in widths of the frame, from which one crossing is as bad as
// another.
const longCrossing = 0.1

// compareCrossings has each frame stand out on which the subject may cross an outline, also
// where it does on all of them: no other frame shows what was cut off. The longer it does the
// more, up to twice of what is worth a look.
func compareCrossings(all []Judged) {
	for i := range all {
		if j := &all[i]; j.Err == nil && len(j.Crossings) > 0 {
			j.stands(byCrossing, standsOut*(1+min(j.Crossings[0].Length/(longCrossing*float64(j.width)), 1)))
		}
	}
}

// Doubtful is the confidence below which a followed outline is worth a look.
const Doubtful = 0.6

// compareConfidence has each frame stand out on which an outline that follows the picture may
// have lost what it goes about, also where it has on all of them. The less likely it is right
// the more, up to twice of what is worth a look.
func compareConfidence(all []Judged) {
	for i := range all {
		if j := &all[i]; j.Err == nil && j.Confidence != nil && *j.Confidence < Doubtful {
			j.stands(byDoubt, standsOut*(2-*j.Confidence/Doubtful))
		}
	}
}

// stands notes how far a frame stands out by a trait.
func (j *Judged) stands(trait int, by float64) {
	j.deviations[trait] = max(j.deviations[trait], by)
	j.Badness = max(j.Badness, by)
}

func (j *Judged) figure(t trait) *float64 {
	if j.Err != nil {
		return nil
	}
	return t.of(j)
}

// cut is in widths of the frame, as shifts are compared, so that what counts as
// nothing is the same at every size.
func (j *Judged) cut() *float64 {
	if j.Cut == nil {
		return nil
	}
	return pointer(*j.Cut / float64(j.width))
}

// neighbours is how many frames to each side say a matte's usual area, and
// fewNeighbours how many there must be.
const (
	neighbours    = 12
	fewNeighbours = 3
)

// leastArea is the area below which a matte covers nothing to speak of.
const leastArea = 1e-4

// compareAreas finds the frames on which the matte vanishes or doubles: its area is
// less than a quarter, or more than twice, the median of the frames up to 12
// before and after them, where there are three or more of those. A matte that stays
// away for longer than 12 frames is told at its ends: by its change.
func compareAreas(all []Judged) {
	for i := range all {
		var values []float64
		for k := max(0, i-neighbours); k < min(len(all), i+neighbours+1); k++ {
			if k != i && all[k].Err == nil && abs(all[k].Number-all[i].Number) <= neighbours {
				values = append(values, all[k].Area)
			}
		}
		if all[i].Err != nil || len(values) < fewNeighbours {
			continue
		}
		j := &all[i]
		j.usual = median(values)
		j.Vanishes = j.usual > leastArea && j.Area < j.usual/4
		j.Doubles = j.Area > leastArea && j.Area > 2*j.usual
	}
}

func abs(n int) int { return max(n, -n) }
