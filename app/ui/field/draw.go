package field

import (
	"image"
	"image/color"
	"math"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/colour"
	"halocline/selection"
)

// maxSamples is how many samples of a kind are drawn; of more, an even share.
const maxSamples = 120

// A scene is what is drawn over the ground.
type scene struct {
	*placed
	keep, drop []selection.Point
	preview    *selection.Pick
	hover      *selection.Point
	active     part // its lines are in the accent
	bare       bool // no channel has a range
	focused    bool
}

// draw draws everything into dst, which has the layout's size.
func (s *scene) draw(dst *image.RGBA, g *ground) {
	copy(dst.Pix, g.image.Pix)
	g.plot.lighten(dst, s.placed)
	s.drawInverted(dst)
	s.drawNames(dst)
	s.drawSamples(dst)
	s.drawRectangles(dst)
	s.drawLeaders(dst)
	s.drawColumnLines(dst)
	s.drawHandles(dst)
	s.drawPreview(dst)
	s.drawHover(dst)
	if s.focused {
		frame(dst, box{0, 0, float64(s.w), float64(s.h)}.grown(-s.dp(1)), ink.Pen{Width: s.dp(2), Colour: look.Accent})
	}
}

// drawInverted hatches what inverted limits leave out.
func (s *scene) drawInverted(dst *image.RGBA) {
	l := &s.pick.Limits
	pitch := max(3, int(math.Round(s.dp(6))))
	inverted := func(c selection.Channel) bool { return l[c].Inverted && !l[c].Off }
	if inverted(selection.Hue) || inverted(selection.Sat) {
		for _, b := range s.full {
			hatch(dst, b.cut(s.plot), pitch)
		}
	}
	if inverted(selection.Light) {
		light := s.marks[selection.Light]
		hatch(dst, box{s.ramp.x1, light[to].pos, s.column.x1, light[from].pos}, pitch)
	}
}

// drawNames names the axes, and the channels that are off.
func (s *scene) drawNames(dst *image.RGBA) {
	size := s.dp(look.AxisSize)
	m, l := s.pick.Model, &s.pick.Limits
	name, c := selection.Sat.Name(m), look.Second
	if s.bare {
		text(dst, s.plot.x0+s.dp(7), s.plot.y0+s.dp(10), name, size, c, ink.MidLeft)
		text(dst, (s.column.x0+s.column.x1)/2, s.plot.y0-s.dp(10), "lightness", size, c, ink.MidCentre)
		return
	}
	if l[selection.Sat].Off {
		name, c = name+" off: all of it counts", look.Off
	}
	text(dst, s.plot.x0+s.dp(7), s.plot.y0+s.dp(10), name, size, c, ink.MidLeft)
	if l[selection.Hue].Off {
		text(dst, (s.plot.x0+s.plot.x1)/2, s.plot.y0-s.dp(10), "hue off: every hue counts", size, look.Off, ink.MidCentre)
	}
	name, c = "lightness", look.Second
	if l[selection.Light].Off {
		name, c = "light off", look.Off
		fill(dst, s.column, color.NRGBA{look.Plot.R, look.Plot.G, look.Plot.B, 0x90})
	}
	text(dst, (s.column.x0+s.column.x1)/2, s.plot.y0-s.dp(10), name, size, c, ink.MidCentre)
}

// A stroke is how a line is drawn: bone over a dark edge, or the accent.
func (s *scene) strokes(solid, active bool) (under, upper ink.Pen) {
	under = ink.Pen{Width: s.dp(3), Colour: color.NRGBA{look.Plot.R, look.Plot.G, look.Plot.B, 0xa0}}
	upper = ink.Pen{Width: s.dp(1.5), Colour: look.Bone}
	if active {
		upper.Colour = look.Accent
	}
	if !solid {
		upper.Dash = []float64{s.dp(4), s.dp(3)}
	}
	return under, upper
}

// drawRectangles draws the lines in the field, once for every turn in view.
func (s *scene) drawRectangles(dst *image.RGBA) {
	for i := range s.full {
		s.drawSides(dst, s.outer[i], fadeBefore, fadeAfter)
		s.drawSides(dst, s.full[i], from, to)
		if s.hasCorners(s.full[i]) {
			s.drawElbows(dst, s.full[i])
		}
	}
}

func (s *scene) drawSides(dst *image.RGBA, b box, low, high end) {
	l := &s.pick.Limits
	in := b.cut(s.plot)
	if in.w() < 0 || in.h() < 0 {
		return
	}
	side := func(c selection.Channel, e end, x0, y0, x1, y1 float64) {
		if l[c].Off || x0 < s.plot.x0 || x1 > s.plot.x1 {
			return
		}
		under, upper := s.strokes(e == from || e == to, s.active.has(c, e))
		line(dst, x0, y0, x1, y1, under)
		line(dst, x0, y0, x1, y1, upper)
	}
	side(selection.Hue, low, b.x0, in.y1, b.x0, in.y0)
	side(selection.Hue, high, b.x1, in.y1, b.x1, in.y0)
	side(selection.Sat, low, in.x0, b.y1, in.x1, b.y1)
	side(selection.Sat, high, in.x0, b.y0, in.x1, b.y0)
}

func (s *scene) drawElbows(dst *image.RGBA, b box) {
	arm := min(s.dp(6), b.w()/3, b.h()/3)
	for _, c := range cornersOf(b) {
		if c.x < s.plot.x0 || c.x > s.plot.x1 {
			continue
		}
		p := ink.Pen{Width: s.dp(3.4), Colour: look.White}
		if s.active == (part{kind: aCorner, end: c.end, level: c.level}) {
			p.Colour = look.Accent
		}
		ink.Polyline(dst, []ink.Pt{{X: c.x + c.dx*arm, Y: c.y}, {X: c.x, Y: c.y}, {X: c.x, Y: c.y + c.dy*arm}}, false, p)
	}
}

// drawLeaders joins the lines of the field with their handles.
func (s *scene) drawLeaders(dst *image.RGBA) {
	p := ink.Pen{Width: s.dp(1), Colour: look.Second}
	for _, m := range s.marks[selection.Hue] {
		if m.shown {
			down := max(s.plot.y0+s.dp(7), s.topOf(m))
			ink.Polyline(dst, []ink.Pt{{X: m.handle, Y: s.plot.y0 - s.dp(3)}, {X: m.pos, Y: s.plot.y0 + s.dp(7)}, {X: m.pos, Y: down}}, false, p)
		}
	}
	for _, m := range s.marks[selection.Sat] {
		if m.shown {
			ink.Polyline(dst, []ink.Pt{{X: s.plot.x1 - s.dp(5), Y: m.pos}, {X: s.plot.x1, Y: m.pos}, {X: s.plot.x1 + s.dp(4), Y: m.handle}}, false, p)
		}
	}
}

// topOf returns where a hue line ends upward.
func (s *scene) topOf(m mark) float64 {
	high := to
	if m.end == fadeBefore || m.end == fadeAfter {
		high = fadeAfter
	}
	if s.pick.Limits[selection.Sat].Off {
		return s.plot.y0
	}
	return s.marks[selection.Sat][high].pos
}

func (s *scene) drawColumnLines(dst *image.RGBA) {
	for _, e := range []end{fadeBefore, fadeAfter, from, to} {
		m := s.marks[selection.Light][e]
		if !m.shown {
			continue
		}
		under, upper := s.strokes(e == from || e == to, s.active.has(selection.Light, e))
		line(dst, s.column.x0, m.pos, s.column.x1, m.pos, under)
		line(dst, s.column.x0, m.pos, s.column.x1, m.pos, upper)
		line(dst, s.column.x1, m.pos, s.column.x1+s.dp(3), m.handle, ink.Pen{Width: s.dp(1), Colour: look.Second})
	}
}

// drawHandles draws filled handles for full weight, hollow ones for fades.
func (s *scene) drawHandles(dst *image.RGBA) {
	for c := range s.marks {
		for _, m := range s.marks[c] {
			if m.shown {
				s.drawHandle(dst, m)
			}
		}
	}
}

func (s *scene) drawHandle(dst *image.RGBA, m mark) {
	x, y := s.handleAt(m)
	w, h := s.dp(13), s.dp(7)
	if m.channel == selection.Hue {
		w, h = h, w
	}
	shape := rounded4(box{x - w/2, y - h/2, x + w/2, y + h/2}, s.dp(2))
	c := look.Bone
	if s.active.has(m.channel, m.end) {
		c = look.Accent
	}
	inner := c
	if m.end == fadeBefore || m.end == fadeAfter {
		inner = look.Plot
	}
	ink.Polygon(dst, shape, inner)
	ink.Polyline(dst, shape, true, ink.Pen{Width: s.dp(1.5), Colour: c})
}

// rounded4 returns the outline of a rectangle with rounded corners.
func rounded4(b box, r float64) []ink.Pt {
	const segments = 3
	var pts []ink.Pt
	for i, c := range []ink.Pt{{X: b.x1 - r, Y: b.y1 - r}, {X: b.x0 + r, Y: b.y1 - r}, {X: b.x0 + r, Y: b.y0 + r}, {X: b.x1 - r, Y: b.y0 + r}} {
		for j := range segments + 1 {
			sin, cos := math.Sincos((float64(i) + float64(j)/segments) * math.Pi / 2)
			pts = append(pts, ink.Pt{X: c.X + r*cos, Y: c.Y + r*sin})
		}
	}
	return pts
}

// drawPreview draws the full rectangle of a pick that is not there yet.
func (s *scene) drawPreview(dst *image.RGBA) {
	if s.preview == nil {
		return
	}
	p := place(s.view, *s.preview)
	pen := ink.Pen{Width: s.dp(2), Colour: look.Accent}
	for _, b := range p.full {
		if in := b.cut(s.plot); in.w() > 0 {
			frame(dst, in, pen)
		}
	}
	if !s.preview.Limits[selection.Light].Off {
		light := p.marks[selection.Light]
		frame(dst, box{s.column.x0, light[to].pos, s.column.x1, light[from].pos}, pen)
	}
}

// drawSamples draws keep samples as discs, drop samples as hollow squares, in
// the field and in the column's lanes.
func (s *scene) drawSamples(dst *image.RGBA) {
	for _, v := range thinned(s.drop) {
		for _, at := range s.points(v, s.lane(0)) {
			s.drawSquare(dst, at)
		}
	}
	for _, v := range thinned(s.keep) {
		for _, at := range s.points(v, s.lane(1)) {
			ink.Disc(dst, at, s.dp(2.9), look.Plot)
			ink.Disc(dst, at, s.dp(2.1), look.Bone)
		}
	}
}

func (s *scene) drawSquare(dst *image.RGBA, at ink.Pt) {
	b := box{at.X, at.Y, at.X, at.Y}
	frame(dst, b.grown(s.dp(2.2)), ink.Pen{Width: s.dp(2.6), Colour: look.Plot})
	frame(dst, b.grown(s.dp(2.2)), ink.Pen{Width: s.dp(1.1), Colour: look.Bone})
}

// points returns where a colour stands: in the field, unless it has no hue or is
// out of view, and in a lane of the column.
func (s *scene) points(v selection.Point, lane float64) (pts []ink.Pt) {
	m := s.pick.Model
	y := between(s.pixel(m, selection.Light, v[selection.Light]), s.column.y0, s.column.y1)
	pts = append(pts, ink.Pt{X: lane, Y: y})
	if v[selection.Hue] == colour.NoHue {
		return pts
	}
	x := s.pixel(m, selection.Hue, s.window.near(v[selection.Hue]))
	if x >= s.plot.x0 && x <= s.plot.x1 {
		pts = append(pts, ink.Pt{X: x, Y: between(s.pixel(m, selection.Sat, v[selection.Sat]), s.plot.y0, s.plot.y1)})
	}
	return pts
}

// thinned returns an even share of samples, at most maxSamples.
func thinned(all []selection.Point) []selection.Point {
	if len(all) <= maxSamples {
		return all
	}
	some := make([]selection.Point, maxSamples)
	for i := range some {
		some[i] = all[i*len(all)/maxSamples]
	}
	return some
}

// drawHover rings the colour under the pointer in the frame.
func (s *scene) drawHover(dst *image.RGBA) {
	if s.hover == nil {
		return
	}
	for _, at := range s.points(*s.hover, (s.ramp.x1+s.column.x1)/2) {
		ink.Ring(dst, at, s.dp(5), ink.Pen{Width: s.dp(3.4), Colour: look.Plot})
		ink.Ring(dst, at, s.dp(5), ink.Pen{Width: s.dp(1.6), Colour: look.White})
	}
}
