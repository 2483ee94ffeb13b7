package selection

import (
	"math"

	"halocline/colour"
)

// How far a new dab of the same thing may lie from those at hand is what the
// fit must allow for. bandwidthShare of the deviation between dabs does best:
// 0.3 to 0.6 are even on pictures of skin, sand and water, 0.75 blurs the
// borders, 0 follows single pixels.
const bandwidthShare = 0.5

// leastBandwidth returns the least bandwidth in bins: 0.7 degrees, one 8-bit code of
// saturation or lightness, 0.7 Lab units along a plane's normal. Below it a border would
// run between single codes.
func leastBandwidth(m Model, c Channel) float64 {
	if c == Hue || m == PlaneModel {
		return 2
	}
	return 4
}

// bandwidth returns the deviation, in bins, of the Gaussian by which samples
// are spread on channel c: bandwidthShare of the deviation between dabs of one
// kind. What is to be kept is one thing in several lights, but few dabs tell its
// deviation badly; what is to be dropped is often several things, whose
// differences say nothing of how one of them varies. The geometric mean of both
// deviations serves: pooled, a drop dab on far water would blur the border
// between skin and sand. Where a kind has one dab the other's deviation counts;
// where both have, that between the two, its variance halved.
func (s *samples) bandwidth(c Channel, out int) float64 {
	var keep, drop []float64
	for d, mid := range s.mid {
		switch {
		case d == out || math.IsNaN(mid[c]):
		case s.keep[d]:
			keep = append(keep, mid[c])
		default:
			drop = append(drop, mid[c])
		}
	}
	return bandwidthOf(s.model, c, keep, drop)
}

// bandwidthOf returns the bandwidth, in bins, that the middles of keep and drop dabs tell.
func bandwidthOf(m Model, c Channel, keep, drop []float64) float64 {
	keeps, drops := variance(keep, c), variance(drop, c)
	v := math.Sqrt(keeps * drops)
	switch {
	case len(keep) == 1 && len(drop) == 1:
		v = variance(append(keep, drop...), c) / 2
	case math.IsNaN(keeps):
		v = drops
	case math.IsNaN(drops):
		v = keeps
	}
	lo, hi := span(m, c)
	share := bandwidthShare * math.Sqrt(v) / (hi - lo) * bins
	if !(share > leastBandwidth(m, c)) { // nor is a single dab's, which is NaN
		return leastBandwidth(m, c)
	}
	return share
}

// variance returns the mean squared deviation from the mean, on the circle by
// arcs, over the degrees of freedom; NaN for fewer than two values.
func variance(v []float64, c Channel) float64 {
	if len(v) < 2 {
		return math.NaN()
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
	mean, sum := 0.0, 0.0
	for _, x := range v {
		mean += from(x) / float64(len(v))
	}
	for _, x := range v {
		d := from(x) - mean
		sum += d * d
	}
	return sum / float64(len(v)-1)
}
