package field

import (
	"math"

	"halocline/selection"
)

// An end is one of a channel's four lines, from below to above.
type end int

const (
	fadeBefore end = iota
	from
	to
	fadeAfter
)

// fine returns what dragged values are rounded to: no digits that nobody meant.
func fine(m selection.Model, c selection.Channel) float64 {
	if m == selection.HSL && c != selection.Hue {
		return 0.001
	}
	return 0.1
}

// keyIncrement returns how far an arrow moves a line.
func keyIncrement(m selection.Model, c selection.Channel) float64 { return 10 * fine(m, c) }

// lineAt returns the value at which a line stands. On the circle it is not
// brought into [0,360): lines rise from the first to the last.
func lineAt(r selection.Range, c selection.Channel, e end) float64 {
	upper := r.To
	if c == selection.Hue {
		upper = r.From + r.Span()
	}
	switch e {
	case fadeBefore:
		return r.From - r.Before
	case from:
		return r.From
	case to:
		return upper
	}
	return upper + r.After
}

// movedLine returns p with one line moved by delta. The fade of a solid line
// keeps its width, so its line goes along. No line crosses another, and none
// leaves the channel's scale that was not outside before.
func movedLine(p selection.Pick, c selection.Channel, e end, delta float64) selection.Pick {
	if delta == 0 { // nothing is rounded that nobody moved
		return p
	}
	r := &p.Limits[c].Range
	unit := fine(p.Model, c)
	was := lineAt(*r, c, e)
	v := rounded(was+delta, unit)
	if c == selection.Hue {
		*r = movedOnCircle(*r, e, v-was)
		return p
	}
	full := c.FullScale(p.Model)
	switch e {
	case fadeBefore:
		v = between(v, min(0, was), r.From)
		r.Before = tidy(r.From - v)
	case from:
		r.From = between(v, min(0, was), r.To)
	case to:
		r.To = between(v, r.From, max(full, was))
	case fadeAfter:
		v = between(v, r.To, max(full, was))
		r.After = tidy(v - r.To)
	}
	return p
}

// movedOnCircle is movedLine for hue. Where a range and its fades would reach
// around the circle, the fades give way.
func movedOnCircle(r selection.Range, e end, delta float64) selection.Range {
	span := r.Span()
	start := r.From
	switch e {
	case fadeBefore:
		r.Before = between(r.Before-delta, 0, max(r.Before, 360-span-r.After))
	case from:
		grown := between(span-delta, 0, 360)
		start += span - grown
		span = grown
	case to:
		span = between(span+delta, 0, 360)
	case fadeAfter:
		r.After = between(r.After+delta, 0, max(r.After, 360-span-r.Before))
	}
	if span != r.Span() {
		r = givingWay(r, span)
	}
	r.Before, r.After = tidy(r.Before), tidy(r.After)
	return turnedTo(r, start, span)
}

// givingWay returns r with fades that leave room for a wider full part.
func givingWay(r selection.Range, span float64) selection.Range {
	if over := r.Before + span + r.After - 360; span > r.Span() && over > 0 {
		less := min(over, r.Before)
		r.Before -= less
		r.After = max(0, r.After-(over-less))
	}
	return r
}

// movedWhole returns p with a channel's range moved, its widths kept.
func movedWhole(p selection.Pick, c selection.Channel, delta float64) selection.Pick {
	if delta == 0 {
		return p
	}
	r := &p.Limits[c].Range
	if c == selection.Hue {
		*r = turnedTo(*r, rounded(r.From+delta, fine(p.Model, c)), r.Span())
		return p
	}
	width := r.To - r.From
	low, high := min(0, r.From), max(c.FullScale(p.Model), r.To)
	v := between(rounded(r.From+delta, fine(p.Model, c)), low, high-width)
	r.From, r.To = v, min(high, max(v, tidy(v+width)))
	return p
}

// turnedTo returns r with its full part beginning at a hue brought into [0,360);
// To is not below From, and at most 360 above.
func turnedTo(r selection.Range, start, span float64) selection.Range {
	r.From = norm(tidy(norm(start))) // tidying may reach 360
	r.To = between(tidy(r.From+span), r.From, r.From+360)
	return r
}

// rounded returns v rounded to whole units.
func rounded(v, unit float64) float64 { return tidy(math.Round(v/unit) * unit) }

// tidy takes off the digits that binary fractions leave behind.
func tidy(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// between returns v clamped to [lo,hi]; where lo is above hi it is lo.
func between(v, lo, hi float64) float64 { return max(lo, min(v, hi)) }

// A partKind says what of the widget the pointer is on.
type partKind int

const (
	nothing partKind = iota
	aLine            // or its handle
	aCorner          // of the full rectangle: two lines
	aMiddle          // of the full rectangle or of the column's range
	theRibbon
)

// A part is what can be grabbed.
type part struct {
	kind    partKind
	channel selection.Channel // of a line; of a middle: Hue for the field, Light for the column
	end     end
	level   end // of a corner: the line of Sat; end is that of Hue
}

// has reports whether a grabbed part moves a line.
func (g part) has(c selection.Channel, e end) bool {
	switch g.kind {
	case aLine:
		return g.channel == c && g.end == e
	case aCorner:
		return c == selection.Hue && e == g.end || c == selection.Sat && e == g.level
	case aMiddle:
		return (g.channel == selection.Light) == (c == selection.Light)
	}
	return false
}

// dragged returns p with a part moved by so much on each channel.
func dragged(p selection.Pick, g part, delta selection.Point) selection.Pick {
	switch g.kind {
	case aLine:
		return movedLine(p, g.channel, g.end, delta[g.channel])
	case aCorner:
		p = movedLine(p, selection.Hue, g.end, delta[selection.Hue])
		return movedLine(p, selection.Sat, g.level, delta[selection.Sat])
	case aMiddle:
		for c := range selection.Channels {
			if g.has(c, from) && !p.Limits[c].Off {
				p = movedWhole(p, c, delta[c])
			}
		}
	}
	return p
}
