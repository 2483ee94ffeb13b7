package selection

import (
	"errors"
	"math"

	"halocline/colour"
)

// This file moves single bounds of a pick because of a single colour: what is
// behind "include this" and "leave this out" on a pixel.

// IncludePoint returns p with one bound moved so that it keeps more of v: the
// bound of the channel that Reason names, to just past v; for an inverted limit
// it draws back until v is clear of it. Where v is in already, has no hue and is
// out by hue, or no single bound can do it, p is returned as it is. Other
// channels may still reject v: ask the result's Reason.
func IncludePoint(p Pick, v Point) Pick {
	r := p.Reason(v)
	if r == In {
		return p
	}
	c := Channel(r - ByHue)
	l := &p.Limits[c]
	switch {
	case p.Model == PlaneModel:
		l.Range = l.justIn(v[Across])
	case !finite(v[Hue], v[Sat], v[Light]), c == Hue && v[Hue] == colour.NoHue:
	case l.Inverted:
		l.Range = l.clearOf(p.Model, c, v[c])
	default:
		l.Range = l.with(p.Model, c, v[c])
	}
	return p
}

// ErrNoBound is returned where no bound can leave a colour out.
var ErrNoBound = errors.New("selection: no single bound can leave this colour out, want a channel that is on and wider than this colour; a drop mask can")

// LeaveOut returns p with one bound moved so that v weighs less than one half:
// of all bounds that can do so, the one that costs the keep dabs the least of
// their weight, each dab counting the same; of equal ones, the one that moves
// the least in parts of its channel. Where v is out already p is returned as it
// is. Channels that are off stay off. A hue range may come back with its ends in
// another turn. A plane has but its level to move. The error is ErrNoBound, with p as it was.
func LeaveOut(p Pick, v Point, dabs []Dab) (Pick, error) {
	if p.Weight(v) < 0.5 {
		return p, nil
	}
	if p.Model == PlaneModel {
		return leaveOutAcross(p, v)
	}
	kept := gather(keepDabs(dabs), p.Model)
	best, bestWeight, bestMove := p, math.Inf(-1), math.Inf(1)
	for c := range Channels {
		for _, r := range p.Limits[c].rejecting(p.Model, c, v[c]) {
			q := p
			q.Limits[c].Range = r
			if !(q.Weight(v) < 0.5) {
				continue
			}
			lo, hi := span(p.Model, c)
			weight, move := kept.keepWeight(q), moved(c, p.Limits[c].Range, r)/(hi-lo)
			if weight > bestWeight+tie || weight > bestWeight-tie && move < bestMove {
				best, bestWeight, bestMove = q, weight, move
			}
		}
	}
	if math.IsInf(bestWeight, -1) {
		return p, ErrNoBound
	}
	return best, nil
}

// leaveOutAcross is LeaveOut for a pick by plane.
func leaveOutAcross(p Pick, v Point) (Pick, error) {
	q := p
	q.Limits[Across].Range = p.Limits[Across].justOut(v[Across])
	if !(q.Weight(v) < 0.5) {
		return p, ErrNoBound
	}
	return q, nil
}

func keepDabs(dabs []Dab) (keep []Dab) {
	for _, d := range dabs {
		if d.Keep {
			keep = append(keep, d)
		}
	}
	return keep
}

// keepWeight returns the mean weight of all dabs.
func (s *samples) keepWeight(p Pick) float64 {
	weight := 0.0
	for d := range s.keep {
		weight += s.meanWeight(p, d) / float64(len(s.keep))
	}
	return weight
}

// rejecting returns the ranges, one bound moved, with which the limit gives v a
// weight just under one half.
func (l Limit) rejecting(m Model, c Channel, v float64) []Range {
	switch {
	case l.Off, c == Hue && v == colour.NoHue:
		return nil
	case l.Inverted:
		return []Range{l.with(m, c, v)}
	}
	return l.without(m, c, v, 0.5)
}

// with returns the range widened at its nearer end to just past v.
func (r Range) with(m Model, c Channel, v float64) Range {
	wide, per := r, decimals(m, c)
	switch {
	case r.below(c, v):
		wide.From = nextBelow(v, per)
	case r.above(c, v):
		wide.To = nextAbove(v, per)
	default:
		return r
	}
	if c == Hue && wide.Span() < r.Span() { // the ends have met
		return wholeRange(m, c)
	}
	return wide
}

// without returns the ranges, one bound drawn back, that leave v out: share is
// how much of the fade lies between that bound and v. Where the bound would
// pass the other one, it stops there and its fade shrinks.
func (r Range) without(m Model, c Channel, v, share float64) (out []Range) {
	if c == Hue {
		r, v = r.unrolled(v)
	}
	per := decimals(m, c)
	under, over := nextBelow(v, per), nextAbove(v, per)
	if under >= r.From {
		low := r
		low.To = min(r.To, roundDown(under-share*r.After, per))
		if low.To < r.From {
			low.To, low.After = r.From, roundDown((under-r.From)/share, per)
		}
		out = append(out, low)
	}
	if over <= r.To {
		high := r
		high.From = max(r.From, roundUp(over+share*r.Before, per))
		if high.From > r.To {
			high.From, high.Before = r.To, roundDown((r.To-over)/share, per)
		}
		out = append(out, high)
	}
	return out
}

// unrolled returns a hue range and a hue as if they lay on a line: From in
// [0,360), To from there on, v within half a turn of the range.
func (r Range) unrolled(v float64) (Range, float64) {
	below, span := r.below(Hue, v), r.Span()
	above := float64(colour.Degrees(v - r.From).Norm())
	r.From = float64(colour.Degrees(r.From).Norm())
	switch r.To = float64(colour.Degrees(r.To).Norm()); {
	case span == 360:
		r.To = r.From + 360
	case r.To < r.From:
		r.To += 360
	}
	if v = r.From + above; below {
		v -= 360
	}
	return r, v
}

// clearOf returns the range of an inverted limit with the bound drawn back that
// has to move the least to be clear of v, or as it is where neither bound can.
func (l Limit) clearOf(m Model, c Channel, v float64) Range {
	best, least := l.Range, math.Inf(1)
	for _, r := range l.without(m, c, v, 1) {
		drawn := Limit{Range: r, Inverted: true}
		if move := moved(c, l.Range, r); drawn.Weight(c, v) >= 0.5 && move < least {
			best, least = r, move
		}
	}
	return best
}

// moved returns how far the bounds of two ranges lie apart, on the circle by
// the shorter way.
func moved(c Channel, a, b Range) float64 {
	from, to := b.From-a.From, b.To-a.To
	if c == Hue {
		from, to = float64(colour.Degrees(0).ArcTo(colour.Degrees(from))), float64(colour.Degrees(0).ArcTo(colour.Degrees(to)))
	}
	return math.Abs(from) + math.Abs(to)
}

// nextBelow and nextAbove return the next value, of per to a unit, that is clearly
// on that side of v.
func nextBelow(v, per float64) float64 { return math.Floor(v*per-1e-3) / per }
func nextAbove(v, per float64) float64 { return math.Ceil(v*per+1e-3) / per }
