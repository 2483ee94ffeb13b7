package ink

import (
	"image"
	"math"
)

// Line draws a straight stroke from a to b.
func Line(dst *image.RGBA, a, b Pt, p Pen) { Polyline(dst, []Pt{a, b}, false, p) }

// Polyline draws a stroke through points; closed joins the last to the first.
func Polyline(dst *image.RGBA, pts []Pt, closed bool, p Pen) {
	if !(p.Width > 0) || len(pts) < 2 {
		return
	}
	reach := p.Width/2 + 1
	in := bounds(dst.Rect, pts, reach)
	if in.Empty() {
		return
	}
	s := newSheet(in)
	d := newDasher(p.Dash)
	n := len(pts) - 1
	if closed {
		n++
	}
	for i := range n {
		g, ok := newSegment(pts[i], pts[(i+1)%len(pts)], p.Width/2)
		if !ok {
			continue
		}
		g.cutStart, g.cutEnd = !closed && i == 0, !closed && i == n-1
		if d.pattern == nil {
			g.draw(s)
			continue
		}
		d.each(g, in, func(dash segment) { dash.draw(s) })
	}
	s.press(dst, p.Colour)
}

// bounds returns the pixels within reach of points, clipped to r; none where a
// coordinate is not a number.
func bounds(r image.Rectangle, pts []Pt, reach float64) image.Rectangle {
	lo, hi := Pt{math.Inf(1), math.Inf(1)}, Pt{math.Inf(-1), math.Inf(-1)}
	for _, p := range pts {
		if !p.known() {
			return image.Rectangle{}
		}
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, p.X), min(lo.Y, p.Y), max(hi.X, p.X), max(hi.Y, p.Y)
	}
	return around(r, lo.X-reach, lo.Y-reach, hi.X+reach, hi.Y+reach)
}

// A segment is a straight part of a stroke.
type segment struct {
	a, b             Pt
	ux, uy           float64 // the direction from a to b, of length 1
	length           float64
	half             float64 // half the stroke's width
	cutStart, cutEnd bool    // the end is cut straight; else it is round
}

func newSegment(a, b Pt, half float64) (segment, bool) {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if !(length > 0) || !known(length) {
		return segment{}, false
	}
	return segment{a: a, b: b, ux: (b.X - a.X) / length, uy: (b.Y - a.Y) / length, length: length, half: half}, true
}

// draw raises a sheet's covers to the segment's. A pixel's cover is how far the
// stroke's border lies beyond its centre, plus one half, clamped to [0,1]: exact for
// upright and level strokes, within a few percent for slanting ones.
func (g segment) draw(s *sheet) {
	reach := g.half + 0.5
	rows := around(s.in, math.Inf(-1), min(g.a.Y, g.b.Y)-reach, math.Inf(1), max(g.a.Y, g.b.Y)+reach)
	for y := rows.Min.Y; y < rows.Max.Y; y++ {
		dy := float64(y) + 0.5 - g.a.Y
		x0, x1 := g.across(dy, reach)
		cols := around(s.in, x0, float64(y), x1, float64(y))
		if cols.Min.X >= cols.Max.X {
			continue
		}
		row := s.row(y, cols.Min.X, cols.Max.X)
		for i := range row {
			c := g.cover(float64(cols.Min.X+i)+0.5-g.a.X, dy)
			if c > 0 {
				row[i] = max(row[i], uint8(code(c)))
			}
		}
	}
}

// across returns from where to where, in x, pixels whose centres lie dy below a
// may be within reach of the segment.
func (g segment) across(dy, reach float64) (x0, x1 float64) {
	x0, x1 = min(g.a.X, g.b.X)-reach, max(g.a.X, g.b.X)+reach
	if math.Abs(g.uy) > 1e-6 { // the distance to the line is |uy dx - ux dy|
		mid, half := g.a.X+g.ux*dy/g.uy, reach/math.Abs(g.uy)
		x0, x1 = max(x0, mid-half-1), min(x1, mid+half+1)
	}
	return x0, x1
}

// cover is the cover of a pixel whose centre lies at (dx,dy) from a.
func (g segment) cover(dx, dy float64) float64 {
	along, off := dx*g.ux+dy*g.uy, math.Abs(dy*g.ux-dx*g.uy)
	most := 1.0
	switch {
	case g.cutStart && along < 0.5:
		most = along + 0.5
	case along < 0:
		off = math.Hypot(along, off)
	}
	switch rest := g.length - along; {
	case g.cutEnd && rest < 0.5:
		most = min(most, rest+0.5, g.length)
	case rest < 0:
		off = math.Hypot(rest, off)
	}
	return min(g.half+0.5-off, 2*g.half, 1) * max(most, 0)
}
