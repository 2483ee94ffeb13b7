package selection

import (
	"fmt"
	"math"

	"halocline/colour"
)

// A pick by plane keeps the colours on one side of a plane in CIELAB, with a soft border.
// A plane may lie aslant to hue, chroma and lightness; three ranges cannot.

// Across is the channel on which a pick by plane has its limit. The two others take no
// part. A colour's coordinate on it is where it lies along the pick's Normal, in Lab units:
// the scalar product of Normal and L*, a*, b*. Normal has length 1 and points to what is
// kept.
//
// The limit's range there has a level and two fades. Its level is From, and To is the same.
// The fade on the drop side is Before, that on the keep side After. The weight is 0 up to
// Before below the level, 1 from After above it on, and one smoothstep between the two. So
// without a fade on the keep side it is 1 from the level on; a fit makes none there.
const Across = Light

// farthest is how far from the origin, in Lab units, a level may lie. The corners of sRGB
// lie up to 149 away (green, by this module's own conversion).
const farthest = 170

// beyondAll is a coordinate on Across above that of any colour that a table holds.
const beyondAll = 1e6

// LevelRange returns a plane's range: its level, and the fades on the drop side and on the
// keep side of it.
func LevelRange(level, drop, keep float64) Range {
	return Range{From: level, To: level, Before: drop, After: keep}
}

// limit returns a channel's limit as an interval: a plane's goes up to beyond all colours.
func (p Pick) limit(c Channel) Limit {
	l := p.Limits[c]
	switch {
	case p.Model != PlaneModel:
		return l
	case c != Across:
		return Limit{Off: true}
	}
	l.Range = Range{From: l.From + l.After, To: beyondAll, Before: l.Before + l.After}
	return l
}

// levelAt returns the level at which a colour at v would weigh one half.
func (r Range) levelAt(v float64) float64 { return v - (r.After-r.Before)/2 }

// atLevel returns a plane's range at another level, with its fades. The level goes no
// further than levels may.
func (r Range) atLevel(level float64) Range {
	return LevelRange(min(max(level, -farthest), farthest), r.Before, r.After)
}

// justIn returns a plane's range at the next level at which the limit keeps a colour at v.
func (l Limit) justIn(v float64) Range {
	if l.Inverted {
		return l.atLevel(nextAbove(l.levelAt(v), decimals(PlaneModel, Across)))
	}
	return l.atLevel(nextBelow(l.levelAt(v), decimals(PlaneModel, Across)))
}

// justOut returns a plane's range at the next level at which the limit does not keep a
// colour at v.
func (l Limit) justOut(v float64) Range {
	l.Inverted = !l.Inverted
	return l.justIn(v)
}

// explainAcross is Explain for a colour that a plane leaves out.
func (p Pick) explainAcross(v Point) string {
	l := p.Limits[Across]
	off := math.Abs(l.levelAt(v[Across]) - l.From)
	units := fmt.Sprintf("%.1f units", off)
	if off < 0.05 {
		units = "less than 0.1 units"
	}
	if l.Inverted {
		return fmt.Sprintf("out: by %s on the keep side, and all but this is picked", units)
	}
	return fmt.Sprintf("out: by %s on the drop side; the level at %.1f would take it in", units, l.justIn(v[Across]).From)
}

// A space is the coordinates that a pick works in.
type space struct {
	model  Model
	normal [3]float64 // of PlaneModel
}

func (p Pick) space() space {
	if p.Model == PlaneModel {
		return space{PlaneModel, p.Normal}
	}
	return space{model: p.Model}
}

// at returns c in these coordinates. What is not finite counts as black.
func (s space) at(c colour.RGB) Point {
	if s.model != PlaneModel {
		return s.model.At(c)
	}
	v := c.Lab()
	if !finite(v.L, v.A, v.B) {
		v = colour.Lab{}
	}
	return s.acrossLab(v.L, v.A, v.B)
}

// acrossLab returns a colour of CIELAB in the coordinates of PlaneModel. Each product is
// rounded by itself, so that every processor gives the same bits.
func (s space) acrossLab(l, a, b float64) Point {
	n := s.normal
	return Point{Hue: colour.NoHue, Across: float64(n[0]*l) + float64(n[1]*a) + float64(n[2]*b)}
}

// acrossRow writes where the colours of a row lie on Across; l, a and b are their L*, a*
// and b*. dst may be any of them.
func (s space) acrossRow(dst, l, a, b []float32) {
	nl, na, nb := float32(s.normal[0]), float32(s.normal[1]), float32(s.normal[2])
	l, a, b = l[:len(dst)], a[:len(dst)], b[:len(dst)]
	for x := range dst {
		dst[x] = float32(float32(nl*l[x])+float32(na*a[x])) + float32(nb*b[x])
	}
}
