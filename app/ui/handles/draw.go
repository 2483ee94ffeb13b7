package handles

import (
	"fmt"
	"image"
	"image/color"

	"halocline/app/ui/ink"
	"halocline/app/ui/look"
)

// Lines are light on a dark rim, so that they can be seen on any picture.
var (
	rim   = color.NRGBA{0x14, 0x14, 0x14, 0xb4}
	faint = color.NRGBA{0xff, 0xff, 0xff, 0x90}
)

// Draw draws the handles; active is the part that is grabbed or pointed at. A
// quiet one, of a mask that is not chosen, is its outline alone.
func (h *Handles) Draw(dst *image.RGBA, active Part, quiet bool) {
	if len(h.outline) == 0 {
		return
	}
	s := h.scale
	if quiet {
		h.stroke(dst, h.outline, true, 2.6, 1, faint)
		return
	}
	h.drawFeathers(dst)
	h.stroke(dst, h.outline, true, 3.6, 1.4, look.White)
	h.drawBox(dst, active)
	for i, v := range h.vertices() {
		h.drawVertex(dst, v, i == h.chosen, active == Part{Kind: Vertex, Index: i})
	}
	for _, k := range []PartKind{InnerFeather, OuterFeather} {
		at := h.featherAt(k)
		grip := h.outline[h.anchor]
		h.stroke(dst, []ink.Pt{grip, at}, false, 2.4, 1, faint)
		ink.Disc(dst, at, 6.5*s, rim)
		ink.Ring(dst, at, 4.5*s, ink.Pen{Width: 1.6 * s, Colour: look.White})
		if active.Kind == k {
			ink.Disc(dst, at, 3*s, look.Accent)
			h.label(dst, at, k)
		}
	}
}

// stroke draws a line on a dark rim; widths are in units of the window.
func (h *Handles) stroke(dst *image.RGBA, line []ink.Pt, closed bool, wide, thin float64, c color.NRGBA) {
	ink.Polyline(dst, line, closed, ink.Pen{Width: wide * h.scale, Colour: rim})
	ink.Polyline(dst, line, closed, ink.Pen{Width: thin * h.scale, Colour: c})
}

// drawFeathers draws where the weight has become full and where it has become
// nothing, dotted.
func (h *Handles) drawFeathers(dst *image.RGBA) {
	for _, d := range []float64{-h.shape.Inner * h.vp.Zoom, h.shape.Outer * h.vp.Zoom} {
		if d < 1 && d > -1 {
			continue
		}
		ink.Polyline(dst, h.offset(d), true, ink.Pen{Width: 3 * h.scale, Colour: rim, Dash: []float64{1.5 * h.scale, 3.5 * h.scale}})
		ink.Polyline(dst, h.offset(d), true, ink.Pen{Width: 1.4 * h.scale, Colour: look.White, Dash: []float64{1.5 * h.scale, 3.5 * h.scale}})
	}
}

// offset is the outline moved outward by screen pixels, near enough to be
// drawn.
func (h *Handles) offset(d float64) []ink.Pt {
	out := make([]ink.Pt, len(h.outline))
	for i, p := range h.outline {
		out[i] = ink.Pt{X: p.X + d*h.normals[i].X, Y: p.Y + d*h.normals[i].Y}
	}
	return out
}

func (h *Handles) drawVertex(dst *image.RGBA, at ink.Pt, chosen, active bool) {
	half := vertexSize / 2.0 * h.scale
	square := func(grow float64, c color.NRGBA) {
		ink.Fill(dst, ink.Rect{X0: at.X - half - grow, Y0: at.Y - half - grow, X1: at.X + half + grow, Y1: at.Y + half + grow}, c)
	}
	square(1.5*h.scale, rim)
	square(0, look.White)
	fill := look.Plot
	switch {
	case chosen:
		fill = look.Accent
	case active:
		fill = look.Off
	}
	square(-1.6*h.scale, fill)
}

// drawBox draws elbows at the corners, the sides between them, the cross and
// the arc.
func (h *Handles) drawBox(dst *image.RGBA, active Part) {
	s := h.scale
	corners := h.corners()
	for i, c := range corners {
		next, before := corners[(i+1)%4], corners[(i+3)%4]
		h.stroke(dst, []ink.Pt{c, next}, false, 0, 0.8, faint)
		tint := tinted(active.Kind == Corner && active.Index == i)
		h.stroke(dst, []ink.Pt{toward(c, before, elbow*s), c, toward(c, next, elbow*s)}, false, 5, 2.4, tint)
		if active.Kind == Side && active.Index == i {
			h.stroke(dst, []ink.Pt{c, next}, false, 4, 1.6, look.Accent)
		}
	}
	m := h.middle()
	tint := tinted(active.Kind == Centre)
	for _, line := range [][]ink.Pt{{{X: m.X - 7*s, Y: m.Y}, {X: m.X + 7*s, Y: m.Y}}, {{X: m.X, Y: m.Y - 7*s}, {X: m.X, Y: m.Y + 7*s}}} {
		h.stroke(dst, line, false, 4, 1.5, tint)
	}
	t := h.turnAt()
	h.stroke(dst, []ink.Pt{{X: t.X, Y: t.Y + 8*s}, {X: t.X, Y: h.box.Y0}}, false, 2.4, 1, faint)
	h.stroke(dst, arc(t, 7*s), false, 4.4, 1.8, tinted(active.Kind == Turn))
}

// arc is three quarters of a circle with a small head: it turns.
func arc(c ink.Pt, r float64) []ink.Pt {
	out := arcPoints(c, r, -210, 40)
	end := out[len(out)-1]
	return append(out, ink.Pt{X: end.X - 0.9*r, Y: end.Y - 0.1*r}, end, ink.Pt{X: end.X + 0.35*r, Y: end.Y - 0.9*r})
}

func tinted(active bool) color.NRGBA {
	if active {
		return look.Accent
	}
	return look.White
}

// toward is a point so far from a toward b, at most half the way.
func toward(a, b ink.Pt, d float64) ink.Pt {
	l := away(a, b)
	if l == 0 {
		return a
	}
	f := min(d/l, 0.5)
	return ink.Pt{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)}
}

// label says a feather's width beside its handle.
func (h *Handles) label(dst *image.RGBA, at ink.Pt, k PartKind) {
	text := fmt.Sprintf("outside %.1f px", h.shape.Outer)
	if k == InnerFeather {
		text = fmt.Sprintf("inside %.1f px", h.shape.Inner)
	}
	drawLabel(dst, ink.Pt{X: at.X + 12*h.scale, Y: at.Y}, text, h.scale)
}

func drawLabel(dst *image.RGBA, at ink.Pt, text string, scale float64) {
	size := look.SmallSize * scale
	w := ink.TextWidth(text, size)
	ink.Fill(dst, ink.Rect{X0: at.X, Y0: at.Y - 10*scale, X1: at.X + w + 12*scale, Y1: at.Y + 10*scale}, color.NRGBA{0x1e, 0x1e, 0x1e, 0xe6})
	ink.Text(dst, ink.Pt{X: at.X + 6*scale, Y: at.Y}, text, size, look.Text, ink.MidLeft)
}
