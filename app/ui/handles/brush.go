package handles

import (
	"image"
	"image/color"

	"halocline/app/ink"
	"halocline/app/ui/look"
)

// Lines are light on a dark rim, so that they are seen on any picture.
var (
	rim        = color.NRGBA{0x14, 0x14, 0x14, 0xd8}
	faint      = color.NRGBA{0xff, 0xff, 0xff, 0xa0}
	ghost      = color.NRGBA{0xff, 0xff, 0xff, 0x57} // 34 %
	wordGround = color.NRGBA{0x26, 0x26, 0x26, 0xf0} // under words
)

// A brush draws marks whose sizes are in Fyne's units.
type brush struct {
	dst   *image.RGBA
	scale float64
}

// A line is how wide a stroke's light middle and its dark rim are.
type line struct{ wide, thin float64 }

var (
	strong = line{3.6, 1.4} // the outline
	slight = line{2.6, 1}
	bold   = line{5.2, 2.6} // elbows
)

func (b brush) stroke(points []ink.Pt, closed bool, l line, c color.NRGBA) {
	ink.Polyline(b.dst, points, closed, ink.Pen{Width: l.wide * b.scale, Colour: rim})
	ink.Polyline(b.dst, points, closed, ink.Pen{Width: l.thin * b.scale, Colour: c})
}

// dot is one of a dotted line.
func (b brush) dot(at ink.Pt) {
	b.fill(at, 1.25, rim)
	b.fill(at, 0.75, look.White)
}

// square is a vertex.
func (b brush) square(at ink.Pt, fill color.NRGBA) {
	const half = vertexSize / 2.0
	b.fill(at, half+1.2, rim)
	b.fill(at, half, look.White)
	b.fill(at, half-1.6, fill)
}

// fill fills a square about a place.
func (b brush) fill(at ink.Pt, half float64, c color.NRGBA) {
	half *= b.scale
	ink.Fill(b.dst, ink.Rect{X0: at.X - half, Y0: at.Y - half, X1: at.X + half, Y1: at.Y + half}, c)
}

// grip is a round handle.
func (b brush) grip(at ink.Pt, active bool) {
	ink.Disc(b.dst, at, 6.4*b.scale, rim)
	if active {
		ink.Disc(b.dst, at, 4.4*b.scale, look.Accent)
	}
	ink.Ring(b.dst, at, 4.6*b.scale, ink.Pen{Width: 1.6 * b.scale, Colour: look.White})
}

// label writes words on a dark ground beside a place: to its right, or to its left,
// or on the other side where there is no room in the picture.
func (b brush) label(at ink.Pt, words string, left bool) {
	const gap, pad, height = 12, 6, 20
	size := look.SmallSize * b.scale
	w, h := look.Type.Width(words, size)+2*pad*b.scale, height*b.scale
	x0, x1, r := at.X-gap*b.scale-w, at.X+gap*b.scale, b.dst.Rect
	x := x1
	if left && x0 >= float64(r.Min.X) || x1+w > float64(r.Max.X) {
		x = x0
	}
	y := max(min(at.Y-h/2, float64(r.Max.Y)-h), float64(r.Min.Y))
	ink.Fill(b.dst, ink.Rect{X0: x, Y0: y, X1: x + w, Y1: y + h}, wordGround)
	look.Type.Text(b.dst, ink.Pt{X: x + pad*b.scale, Y: y + h/2}, words, size, look.Text, ink.MidLeft)
}

// tint is a mark's colour.
func tint(active bool) color.NRGBA {
	if active {
		return look.Accent
	}
	return look.White
}
