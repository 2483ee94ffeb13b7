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

// roundDown and roundUp round to values of per to a unit; errors of rounding in v
// do not count.
func roundDown(v, per float64) float64 { return math.Floor(v*per+1e-6) / per }
func roundUp(v, per float64) float64   { return math.Ceil(v*per-1e-6) / per }

// pick turns the box's bins into ranges whose fades are centred on its borders.
func (b *box) pick(m Model) Pick {
	p := Pick{Model: m}
	for c := range Channels {
		if b.off[c] {
			p.Limits[c] = Limit{Range: wholeRange(m, c), Off: true}
			continue
		}
		p.Limits[c].Range = b.settle(m, c)
	}
	return p
}

// wholeRange has every value of a channel.
func wholeRange(m Model, c Channel) Range {
	lo, hi := span(m, c)
	return Range{From: lo, To: hi}
}

func (b *box) settle(m Model, c Channel) Range {
	lo, hi := span(m, c)
	unit := (hi - lo) / bins
	width := b.hi[c] - b.lo[c]
	if c == Hue && width >= bins {
		return wholeRange(m, c)
	}
	round := func(v float64) float64 { return math.Round(v*decimals(m, c)) / decimals(m, c) }
	half := min(fadeBandwidths*b.bandwidth[c], float64(width)) / 2
	fade := round(2 * half * unit)
	r := Range{Before: fade, After: fade}
	r.From = round(lo + (float64(b.lo[c])+half)*unit)
	r.To = round(lo + (float64(b.hi[c])-half)*unit)
	if c == Hue {
		if r.From >= 360 { // the fade before it reached over the turn
			r.From, r.To = round(r.From-360), round(r.To-360)
		}
		return r
	}
	// Beyond the ends there is nothing to leave out: open the range there, with a
	// fade left so that rounding past the end costs nothing. A fade that would
	// begin beyond the end begins at it.
	if b.lo[c] <= 0 {
		r.From = lo
		if r.To < lo {
			r.To, r.After = lo, max(0, round(2*float64(b.hi[c])*unit))
		}
	}
	if b.hi[c] >= bins {
		r.To = hi
		if r.From > hi {
			r.From, r.Before = hi, max(0, round(2*float64(bins-b.lo[c])*unit))
		}
	}
	return r
}
