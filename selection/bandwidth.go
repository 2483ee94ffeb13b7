package selection

import (
	"math"

	"halocline/colour"
)

// How far a new dab of the same thing may lie from those at hand is what the
// fit must allow for. bandwidthShare of the deviation between dabs does best:
// 0.25 to 0.5 are even on pictures of skin, sand and water, 0.75 blurs the
// borders, 0 follows single pixels.
const bandwidthShare = 0.4

// leastBandwidth is in bins: 0.7 degrees, one 8-bit step of saturation or
// lightness. Below it a border would part single codes.
var leastBandwidth = [3]float64{2, 4, 4}

// bandwidth returns the deviation, in bins, of the Gaussian by which samples
// are spread on channel c: bandwidthShare of the deviation between dabs of one
// kind. Three dabs tell a deviation badly, so it leans on that of all dabs:
// half of their variance counts like two more dabs.
func (s *samples) bandwidth(c Channel, out int) float64 {
	var keep, drop, all []float64
	for d, mid := range s.mid {
		if d == out || math.IsNaN(mid[c]) {
			continue
		}
		all = append(all, mid[c])
		if s.keep[d] {
			keep = append(keep, mid[c])
		} else {
			drop = append(drop, mid[c])
		}
	}
	if len(all) < 2 {
		return leastBandwidth[c]
	}
	sumKeep, freeKeep := squares(keep, c)
	sumDrop, freeDrop := squares(drop, c)
	sumAll, freeAll := squares(all, c)
	variance := (sumKeep + sumDrop + sumAll/freeAll) / (freeKeep + freeDrop + 2)
	lo, hi := span(s.model, c)
	return max(leastBandwidth[c], bandwidthShare*math.Sqrt(variance)/(hi-lo)*bins)
}

// squares returns the sum of squared deviations from the mean, on the circle
// by arcs, and the degrees of freedom.
func squares(v []float64, c Channel) (sum, free float64) {
	if len(v) == 0 {
		return 0, 0
	}
	from := func(x float64) float64 { return x }
	if c == Hue {
		hues := make([]weighted, len(v))
		for i, h := range v {
			hues[i] = weighted{h, 1}
		}
		middle := meanHue(hues)
		from = func(h float64) float64 { return float64(middle.ArcTo(colour.Degrees(h))) }
	}
	mean := 0.0
	for _, x := range v {
		mean += from(x) / float64(len(v))
	}
	for _, x := range v {
		d := from(x) - mean
		sum += d * d
	}
	return sum, float64(len(v) - 1)
}
