package handles

import (
	"image"
	"image/color"
	"math"
	"slices"
	"strconv"

	"halocline/app/ink"
	"halocline/app/ui/look"
)

// Draw draws the handles. active is the part that is grabbed or pointed at. A
// quiet one, of a mask that is not chosen, is its outline alone.
func (h *Handles) Draw(dst *image.RGBA, active Part, quiet bool) {
	if h.empty() {
		return
	}
	b := brush{dst, h.scale}
	if quiet {
		b.stroke(h.outline, true, slight, faint)
		return
	}
	h.drawFeathers(b)
	h.drawBox(b, active)
	b.stroke(h.outline, true, strong, look.White)
	if i := active.Index; active.Kind == Edge && i >= 0 && i < len(h.points) {
		b.stroke(h.alongEdge(i), false, strong, look.Accent)
	}
	h.drawCross(b, active.Kind == Centre || active.Kind == Inside)
	h.drawTurn(b, active.Kind == Turn)
	for i, p := range h.points {
		b.square(p, h.vertexFill(i, active))
	}
	for _, k := range []PartKind{InnerFeather, OuterFeather} {
		h.drawGrip(b, k, active.Kind == k)
	}
}

func (h *Handles) vertexFill(i int, active Part) color.NRGBA {
	switch {
	case slices.Contains(h.chosen, i):
		return look.Accent
	case active.Kind == Vertex && active.Index == i:
		return look.Off
	}
	return look.Plot
}

// alongEdge is the outline from a vertex to the next.
func (h *Handles) alongEdge(side int) []ink.Pt {
	from, to := h.first[side], h.first[side+1]
	if to < len(h.outline) {
		return h.outline[from : to+1]
	}
	return append(h.outline[from:to:to], h.outline[0])
}

// drawFeathers dots where the weight has become full and where none is left.
func (h *Handles) drawFeathers(b brush) {
	const spacing = 4
	inner, outer := h.shape.Inner*h.vp.Zoom, h.shape.Outer*h.vp.Zoom
	if max(inner, outer) < nearestContour {
		return
	}
	r, m := b.dst.Rect, 2*h.scale
	in := ink.Rect{X0: float64(r.Min.X) - m, Y0: float64(r.Min.Y) - m, X1: float64(r.Max.X) + m, Y1: float64(r.Max.Y) + m}
	e := h.edgeOf()
	for _, c := range []contour{{inner, false, e}, {outer, true, e}} {
		c.dots(spacing*h.scale, in, b.dot)
	}
}

// drawBox draws the sides and the elbows at the corners.
func (h *Handles) drawBox(b brush, active Part) {
	for _, pen := range []ink.Pen{{Width: slight.wide * h.scale, Colour: rim}, {Width: slight.thin * h.scale, Colour: faint}} {
		ink.Box(b.dst, h.frame(), pen)
	}
	corners := h.corners()
	for i, c := range corners {
		next, before := corners[(i+1)%4], corners[(i+3)%4]
		if active.Kind == Side && active.Index == i {
			b.stroke([]ink.Pt{c, next}, false, strong, look.Accent)
		}
		arms := []ink.Pt{toward(c, before, elbow*h.scale), c, toward(c, next, elbow*h.scale)}
		b.stroke(arms, false, bold, tint(active.Kind == Corner && active.Index == i))
	}
}

// toward is a place so far from a toward b, at most half the way.
func toward(a, b ink.Pt, d float64) ink.Pt {
	l := away(a, b)
	if !(l > 0) {
		return a
	}
	f := min(d/l, 0.5)
	return ink.Pt{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)}
}

func (h *Handles) drawCross(b brush, active bool) {
	m, arm := h.screen(h.box.centre()), crossArm*h.scale
	level := []ink.Pt{{X: m.X - arm, Y: m.Y}, {X: m.X + arm, Y: m.Y}}
	upright := []ink.Pt{{X: m.X, Y: m.Y - arm}, {X: m.X, Y: m.Y + arm}}
	for _, pen := range []ink.Pen{{Width: 4 * h.scale, Colour: rim}, {Width: 1.6 * h.scale, Colour: tint(active)}} {
		ink.Polyline(b.dst, level, false, pen)
		ink.Polyline(b.dst, upright, false, pen)
	}
}

// drawTurn draws the arc with its head, and a stem from the box.
func (h *Handles) drawTurn(b brush, active bool) {
	const radius, head, drop = 7.5, 4, 3
	at, f := h.turnAt(), h.frame()
	stem := f.Y0
	if at.Y > f.Y1 {
		stem = f.Y1
	}
	b.stroke([]ink.Pt{toward(at, ink.Pt{X: at.X, Y: stem}, radius*h.scale), {X: at.X, Y: stem}}, false, slight, faint)
	arc := arcPoints(at, radius*h.scale, 180, 360)
	tip := ink.Pt{X: at.X + radius*h.scale, Y: at.Y + drop*h.scale}
	arc = append(arc, tip, ink.Pt{X: tip.X - head*h.scale, Y: tip.Y - head*h.scale}, tip, ink.Pt{X: tip.X + head*h.scale, Y: tip.Y - head*h.scale})
	b.stroke(arc, false, line{4.6, 1.8}, tint(active))
}

// arcPoints are points of a circle from one angle to another, in degrees from
// the x axis toward the y axis.
func arcPoints(c ink.Pt, r, from, to float64) []ink.Pt {
	const segments = 12
	var out []ink.Pt
	for i := range segments + 1 {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/segments) * math.Pi / 180)
		out = append(out, ink.Pt{X: c.X + r*cos, Y: c.Y + r*sin})
	}
	return out
}

// drawGrip draws a feather's handle, and its value while it is active.
func (h *Handles) drawGrip(b brush, k PartKind, active bool) {
	at := h.featherAt(k)
	b.grip(at, active)
	if !active {
		return
	}
	words, left := "outward "+pixels(h.shape.Outer), h.stand.out.X < 0
	if k == InnerFeather {
		words, left = "inward "+pixels(h.shape.Inner), !left
	}
	b.label(at, words, left)
}

// pixels is a length to a tenth.
func pixels(v float64) string {
	return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) + " px"
}
