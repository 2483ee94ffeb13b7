package selection

import (
	"slices"

	"halocline/colour"
)

// dabTail is the share of a dab's pixels that IncludeDab lets go at either end
// of a channel: noise and what strayed into the disc.
const dabTail = 0.05

// IncludeDab returns p with its ranges widened, where need be, to keep the
// middle nine tenths of a dab's colours on every channel that is on and not
// inverted. A plane's level goes down. A hue range opens at the end that is nearer. Fades stay. Colours
// without hue do not count for hue.
func IncludeDab(p Pick, colours []colour.RGB) Pick {
	points := make([]Point, len(colours))
	for i, c := range colours {
		points[i] = p.At(c)
	}
	for c := range Channels {
		l := &p.Limits[c]
		if l.Off || l.Inverted {
			continue
		}
		if c == Hue {
			l.Range = widenedHue(l.Range, points)
			continue
		}
		values := make([]float64, len(points))
		for i, v := range points {
			values[i] = v[c]
		}
		if low, high, ok := withinTails(values); ok {
			if p.Model == PlaneModel {
				l.Range = l.atLevel(min(l.From, low-l.After))
				continue
			}
			l.From, l.To = min(l.From, low), max(l.To, high)
		}
	}
	return p
}

// widenedHue opens a hue range: hues are taken as turns from its middle.
func widenedHue(r Range, points []Point) Range {
	half := r.Span() / 2
	middle := colour.Degrees(r.From + half)
	var turns []float64
	for _, v := range points {
		if v[Hue] != colour.NoHue {
			turns = append(turns, float64(middle.ArcTo(colour.Degrees(v[Hue]))))
		}
	}
	low, high, ok := withinTails(turns)
	if !ok {
		return r
	}
	low, high = min(low, -half), max(high, half)
	if high-low >= 360 {
		low, high = -180, 180
	}
	r.From, r.To = float64(middle)+low, float64(middle)+high
	return r
}

// withinTails returns the ends between which all but a tail at either end lie.
func withinTails(values []float64) (low, high float64, ok bool) {
	if len(values) == 0 {
		return 0, 0, false
	}
	slices.Sort(values)
	cut := int(dabTail * float64(len(values)))
	return values[cut], values[len(values)-1-cut], true
}
