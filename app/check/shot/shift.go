package shot

import (
	"math"
	"slices"
	"strconv"
)

// A Shift is how far a mask lies from its usual place around what is picked, in
// pixels of the source.
type Shift struct {
	Mask        int // its id
	Right, Down float64
}

// usualFrames is how many frames, at most, say what usually lies where in a mask.
const usualFrames = 200

// compareShifts finds how far each mask lies from its usual place around what is
// picked: how far its sums must be moved to correlate best with their medians over
// the clip.
func compareShifts(all []Judged) {
	usual := usualSums(all)
	eachMaskSums(all, func(j *Judged, s *maskSums) {
		var moved [2]float64
		for axis := range s.sums {
			// What a mask was moved away from lies on the other side of it.
			moved[axis] = -intervalsMoved(s.sums[axis][:], usual[s.mask][axis]) * s.size[axis] / intervalsToBox
		}
		j.Shifts = append(j.Shifts, Shift{s.mask, moved[0], moved[1]})
	})
	standByShift(all)
}

func eachMaskSums(all []Judged, do func(j *Judged, s *maskSums)) {
	for i := range all {
		for k := range all[i].maskSums {
			do(&all[i], &all[i].maskSums[k])
		}
	}
}

// usualSums returns the medians of each mask's sums.
func usualSums(all []Judged) map[int][2][]float32 {
	stride := (len(all) + usualFrames - 1) / usualFrames
	byMask := map[int][]*maskSums{}
	for i := 0; i < len(all); i += max(stride, 1) {
		for k := range all[i].maskSums {
			s := &all[i].maskSums[k]
			byMask[s.mask] = append(byMask[s.mask], s)
		}
	}
	usual := map[int][2][]float32{}
	for id, of := range byMask {
		usual[id] = [2][]float32{medianSums(of, 0), medianSums(of, 1)}
	}
	return usual
}

func medianSums(of []*maskSums, axis int) []float32 {
	out, values := make([]float32, intervals), make([]float32, len(of))
	for k := range out {
		for i, s := range of {
			values[i] = s.sums[axis][k]
		}
		slices.Sort(values)
		out[k] = values[len(values)/2]
	}
	return out
}

// farthest is how many intervals a mask is looked for to each side: beyond a third of its
// box there is little left to compare.
const farthest = intervalsToBox / 3

// intervalsMoved returns how many intervals values lie to the right of where they are
// most like the usual ones, to a part of an interval: where their correlation is
// largest, by the parabola through the three best; 0 where either is all the same.
func intervalsMoved(values, usual []float32) float64 {
	var like [2*farthest + 1]float64
	best := farthest
	for i := range like {
		like[i] = correlation(values, usual, i-farthest)
		if like[i] > like[best] {
			best = i
		}
	}
	at := float64(best - farthest)
	if best == 0 || best == len(like)-1 {
		return at
	}
	before, after := like[best-1], like[best+1]
	if bend := before - 2*like[best] + after; bend < 0 {
		at += (before - after) / 2 / bend
	}
	return at
}

// correlation is Pearson's, of values moved to the left by so many intervals, over
// what of both lies over each other; 0 where either is all the same.
func correlation(values, usual []float32, moved int) float64 {
	from, to := max(0, -moved), min(len(usual), len(values)-moved)
	var a, b, aa, bb, ab float64
	for k := from; k < to; k++ {
		v, u := float64(values[k+moved]), float64(usual[k])
		a += v
		b += u
		aa += float64(v * v)
		bb += float64(u * u)
		ab += float64(v * u)
	}
	n := float64(to - from)
	spread := (aa - float64(a*a)/n) * (bb - float64(b*b)/n)
	if !(spread > 0) {
		return 0
	}
	return (ab - float64(a*b)/n) / math.Sqrt(spread)
}

// quarterNormal is what a quarter of the sizes of normally distributed numbers stay
// within, in standard deviations: the normal distribution's 5/8 quantile.
const quarterNormal = 0.31863936396437514

// standByShift notes which frames stand out by a shift, to either side. A key that was
// set wrong spoils all frames up to the keys beside it, which may be as many as are
// right: so the deviation is told by the best quarter of the frames, not by half.
func standByShift(all []Judged) {
	sizes := map[int][2][]float64{} // of shifts, by mask and axis
	for i := range all {
		for _, s := range all[i].Shifts {
			of := sizes[s.Mask]
			of[0], of[1] = append(of[0], math.Abs(s.Right)), append(of[1], math.Abs(s.Down))
			sizes[s.Mask] = of
		}
	}
	deviation := map[int][2]float64{}
	for id, of := range sizes {
		slices.Sort(of[0])
		slices.Sort(of[1])
		quarter := len(of[0]) / 4
		deviation[id] = [2]float64{of[0][quarter] / quarterNormal, of[1][quarter] / quarterNormal}
	}
	for i := range all {
		j := &all[i]
		least := traitTable[byShift].floor * float64(j.width) * normal
		for k, s := range j.Shifts {
			d := deviation[s.Mask]
			if by := max(math.Abs(s.Right)/max(d[0], least), math.Abs(s.Down)/max(d[1], least)); by > j.deviations[byShift] {
				j.stands(byShift, by)
				j.shifted = k
			}
		}
	}
}

// words says how a mask lies.
func (s Shift) words() string {
	say := func(v float64, to, from string) string {
		if v < 0 {
			to = from
		}
		return strconv.FormatFloat(math.Abs(v), 'f', 0, 64) + " px " + to
	}
	across, down := say(s.Right, "to the right", "to the left"), say(s.Down, "down", "up")
	switch {
	case math.Abs(s.Down) < math.Abs(s.Right)/3:
		return across
	case math.Abs(s.Right) < math.Abs(s.Down)/3:
		return down
	}
	return across + " and " + down
}
