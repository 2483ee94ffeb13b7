package field

import "math"

// Lengths in Fyne's units.
const (
	minPlot    = 180 // height of the plots at the narrowest column
	maxPlot    = 240
	narrow     = 316 // width that goes with minPlot
	wide       = 416 // width from which maxPlot is used
	headroom   = 20  // above the plots: hue's handles
	footroom   = 30  // below: axis and ribbon
	fieldGap   = 25  // between field and column: the handles of saturation
	columnEdge = 18  // beside the column: its handles
	binSize    = 3
)

// HeightFor returns the height at which a Field of a width looks best: 230 to
// 290, in Fyne's units.
func HeightFor(width float32) float32 {
	share := between(float64(width-narrow)/(wide-narrow), 0, 1)
	return float32(math.Round(headroom + minPlot + share*(maxPlot-minPlot) + footroom))
}

// A box is a rectangle in screen pixels, y downward.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) w() float64 { return b.x1 - b.x0 }
func (b box) h() float64 { return b.y1 - b.y0 }

func (b box) contains(x, y float64) bool { return x >= b.x0 && x < b.x1 && y >= b.y0 && y < b.y1 }

// grown returns b with each side d further out.
func (b box) grown(d float64) box { return box{b.x0 - d, b.y0 - d, b.x1 + d, b.y1 + d} }

// cut returns the part of b in o; it may be empty, with x1 <= x0 or y1 <= y0.
func (b box) cut(o box) box {
	return box{max(b.x0, o.x0), max(b.y0, o.y0), min(b.x1, o.x1), min(b.y1, o.y1)}
}

// A layout says where the parts of the widget are, in whole screen pixels.
type layout struct {
	w, h   int
	scale  float64 // screen pixels per unit
	plot   box     // the field
	ribbon box
	column box // lightness
	ramp   box // in the column, at its left
}

// laidOut returns the layout of a widget of w x h pixels.
func laidOut(w, h int, scale float64) layout {
	px := func(units float64) float64 { return math.Round(units * scale) }
	l := layout{w: w, h: h, scale: scale}
	columnWidth := px(44)
	if float64(w) >= px(wide-16) {
		columnWidth = px(46)
	}
	right := float64(w) - px(columnEdge)
	top, foot := px(headroom), float64(h)-px(footroom)
	l.column = box{right - columnWidth, top, right, foot}
	l.ramp = box{l.column.x0, top, l.column.x0 + px(4), foot}
	l.plot = box{0, top, l.column.x0 - px(fieldGap), foot}
	l.ribbon = box{0, foot + px(20), l.plot.x1, foot + px(26)}
	return l
}

// usable reports whether there is room for anything.
func (l layout) usable() bool { return l.plot.w() >= 8 && l.plot.h() >= 8 }

// dp returns a length in screen pixels.
func (l layout) dp(units float64) float64 { return units * l.scale }
