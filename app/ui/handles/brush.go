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

// labelPad is the room beside a label's words, in Fyne's units.
const labelPad = 6

// label writes words on a dark ground beside a place: to its right, or to its left,
// or on the other side where there is no room in the picture.
func (b brush) label(at ink.Pt, words string, left bool) {
	b.words(labelAt(at, words, left, b.scale, b.dst.Rect), words, look.Text)
}

// words writes a label's.
func (b brush) words(on ink.Rect, words string, c color.NRGBA) {
	ink.Fill(b.dst, on, wordGround)
	look.Type.Text(b.dst, ink.Pt{X: on.X0 + labelPad*b.scale, Y: (on.Y0 + on.Y1) / 2}, words, look.SmallSize*b.scale, c, ink.MidLeft)
}

// labelAt is where a label stands beside a place in a picture.
func labelAt(at ink.Pt, words string, left bool, scale float64, r image.Rectangle) ink.Rect {
	const gap, height = 12, 20
	w, h := look.Type.Width(words, look.SmallSize*scale)+2*labelPad*scale, height*scale
	x0, x1 := at.X-gap*scale-w, at.X+gap*scale
	x := x1
	if left && x0 >= float64(r.Min.X) || x1+w > float64(r.Max.X) {
		x = x0
	}
	y := max(min(at.Y-h/2, float64(r.Max.Y)-h), float64(r.Min.Y))
	return ink.Rect{X0: x, Y0: y, X1: x + w, Y1: y + h}
}

// tint is a mark's colour.
func tint(active bool) color.NRGBA {
	if active {
		return look.Accent
	}
	return look.White
}
