package selection

import "math"

// How a box of half-weight borders becomes a pick that a person can read.

// fadeBandwidths is the width of a fade in bandwidths. Accuracy is even from 0
// to 2; wider ones lose overlap. A soft one flickers less.
const fadeBandwidths = 2

// decimals are those of a range: hue in degrees, chroma and lightness in Lab
// units to 0.1, saturation and lightness of HSL to 0.001.
func decimals(m Model, c Channel) float64 {
	if m == HSL && c != Hue {
		return 1000
	}
	return 10
}

// pick turns the box's bins into ranges whose fades are centred on its borders.
func (b *box) pick(m Model) Pick {
	p := Pick{Model: m}
	for c := Hue; c <= Light; c++ {
		if b.off[c] {
			p.Limits[c] = Limit{Range: wholeRange(m, c), Off: true}
			continue
		}
		p.Limits[c].Range = b.settle(m, c)
	}
	return p
}

// wholeRange holds every value of a channel.
func wholeRange(m Model, c Channel) Range {
	lo, hi := span(m, c)
	return Range{From: lo, To: hi}
}

func (b *box) settle(m Model, c Channel) Range {
	lo, hi := span(m, c)
	unit := (hi - lo) / bins
	round := func(v float64) float64 { return math.Round(v*decimals(m, c)) / decimals(m, c) }
	fade := fadeBandwidths * b.bandwidth[c]
	half := min(fade/2, float64(b.hi[c]-b.lo[c])/2)
	from, to := lo+(float64(b.lo[c])+half)*unit, lo+(float64(b.hi[c])-half)*unit
	r := Range{From: round(from), To: round(to), Before: round(2 * half * unit), After: round(2 * half * unit)}
	if c == Hue {
		if b.hi[c]-b.lo[c] >= bins {
			return Range{From: 0, To: 360}
		}
		return r
	}
	// Beyond the ends there is nothing to part: open the range there, with a
	// fade left so that rounding past the end costs nothing.
	r.From = max(r.From, lo)
	r.To = min(r.To, hi)
	if b.lo[c] <= 0 {
		r.From = lo
	}
	if b.hi[c] >= bins {
		r.To = hi
	}
	return r
}
