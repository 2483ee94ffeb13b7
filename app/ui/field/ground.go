package field

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strconv"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/view/density"
	"halocline/colour"
	"halocline/selection"
)

// Greys of the lightness column's bars.
var (
	frameBar = color.NRGBA{0x70, 0x70, 0x70, 0xff}
	matteBar = color.NRGBA{0xc8, 0xc8, 0xc8, 0xff}
)

// A ground is what lies under the pick's lines: it stays while they are dragged.
type ground struct {
	plot  plot
	image *image.RGBA // of the whole widget
}

// drawGround draws what depends on the density, the window and the size alone.
// home is the hue in the ribbon's middle.
func drawGround(v view, d *density.Map, home float64) ground {
	g := ground{paint(v, d), image.NewRGBA(image.Rect(0, 0, v.w, v.h))}
	dst := g.image
	draw.Draw(dst, dst.Rect, image.NewUniform(look.Column), image.Point{}, draw.Src) // opaque, as ink wants it
	paste(dst, g.plot.outside, int(v.plot.x0), int(v.plot.y0))
	v.drawColumn(dst, d)
	v.drawUpAxis(dst)
	v.drawHueAxis(dst)
	v.drawRibbon(dst, d.Model, home)
	return g
}

// paste copies src into dst, where it fits.
func paste(dst, src *image.RGBA, x0, y0 int) {
	for y := range src.Rect.Dy() {
		copy(dst.Pix[dst.PixOffset(x0, y0+y):dst.PixOffset(x0+src.Rect.Dx(), y0+y)], src.Pix[y*src.Stride:])
	}
}

// drawColumn draws the ramp and the bars of lightness.
func (v view) drawColumn(dst *image.RGBA, d *density.Map) {
	fill(dst, v.column, look.Plot)
	h := int(v.column.h())
	frame, matte := bars(&d.Light, h), bars(&d.Matte, h)
	left := v.ramp.x1 + v.dp(1)
	room := v.lane(1) - v.dp(6) - left
	for i := range h {
		y := v.column.y0 + float64(i)
		fill(dst, box{v.ramp.x0, y, v.ramp.x1, y + 1}, rampGrey(d.Model, 1-(float64(i)+0.5)/float64(h)))
		fill(dst, box{left, y, left + math.Ceil(room*frame[i]), y + 1}, frameBar)
		fill(dst, box{left, y, left + math.Ceil(room*matte[i]), y + 1}, matteBar)
	}
	for _, t := range upTicks(1, v.column.h(), v.dp(26)) { // the same shares in either model
		y := v.column.y1 - t.share*v.column.h()
		line(dst, v.column.x1-v.dp(3), y, v.column.x1, y, v.thin())
	}
}

// lane returns the middle of a lane of samples in the column: 0 drop, 1 keep.
func (v view) lane(n int) float64 { return v.column.x1 - v.dp(7+9*float64(n)) }

// rampGrey returns the grey at a share of a model's lightness.
func rampGrey(m selection.Model, share float64) color.NRGBA {
	if m == selection.LCh {
		share = colour.Lab{L: 100 * share}.RGB().G
	}
	c := colour.Code8(float32(share))
	return color.NRGBA{c, c, c, 0xff}
}

func (v view) drawUpAxis(dst *image.RGBA) {
	size := v.dp(look.AxisSize)
	for _, t := range upTicks(v.top, v.plot.h(), v.dp(26)) {
		y := v.plot.y1 - t.share*v.plot.h()
		line(dst, v.plot.x0, y, v.plot.x0+v.dp(4), y, v.thin())
		line(dst, v.plot.x1-v.dp(4), y, v.plot.x1, y, v.thin())
		if y > v.plot.y0+v.dp(22) { // below the axis's name
			text(dst, v.plot.x0+v.dp(7), y, strconv.FormatFloat(t.value, 'g', 3, 64), size, look.Second, ink.MidLeft)
		}
	}
}

func (v view) drawHueAxis(dst *image.RGBA) {
	dotted := v.thin()
	dotted.Dash = []float64{v.dp(1), v.dp(3)}
	for _, share := range v.window.zeros() {
		x := v.plot.x0 + share*v.plot.w()
		line(dst, x, v.plot.y0, x, v.plot.y1, dotted)
	}
	for _, t := range v.hueTicks() {
		x := v.plot.x0 + t.share*v.plot.w()
		line(dst, x, v.plot.y1, x, v.plot.y1+v.dp(3), v.thin())
	}
	for _, l := range v.hueLabels() {
		text(dst, l.x, v.plot.y1+v.dp(10), l.text, v.dp(look.AxisSize), look.Second, ink.MidCentre)
	}
}

func (v view) hueTicks() []tick { return v.window.ticks(v.plot.w(), v.dp(32)) }

// A label is a text about the middle x.
type label struct {
	x, half float64 // half its width
	text    string
}

// labelGap is how far labels of the hue axis stay apart, in units.
const labelGap = 4

// hueLabels are the labels of the hue axis. One that an end of the plot moves to the side is
// left out where it would touch its neighbour.
func (v view) hueLabels() (all []label) {
	for _, t := range v.hueTicks() {
		s := fmt.Sprintf("%g°", t.value)
		half := look.Type.Width(s, v.dp(look.AxisSize)) / 2
		x := v.plot.x0 + t.share*v.plot.w()
		all = append(all, label{between(x, v.plot.x0+half, v.plot.x1+v.dp(8)-half), half, s})
	}
	touch := func(a, b label) bool { return b.x-b.half-(a.x+a.half) < v.dp(labelGap) }
	if len(all) > 1 && touch(all[0], all[1]) {
		all = all[1:]
	}
	if n := len(all); n > 1 && touch(all[n-2], all[n-1]) {
		all = all[:n-1]
	}
	return all
}

func (v view) thin() ink.Pen { return ink.Pen{Width: v.dp(1), Colour: look.Off} }

// drawRibbon draws the circle, with home in its middle, and the bracket.
func (v view) drawRibbon(dst *image.RGBA, m selection.Model, home float64) {
	r := v.ribbon
	for x := r.x0; x < r.x1; x++ {
		hue := home + ((x+0.5-r.x0)/r.w()-0.5)*360
		c := over(look.Plot, hueColour(m, norm(hue)), 1)
		fill(dst, box{x, r.y0, x + 1, r.y1}, color.NRGBA{c[0], c[1], c[2], 0xff})
	}
	zero := r.x0 + (0.5+arc(home, 0)/360)*r.w()
	line(dst, zero, r.y0, zero, r.y1, ink.Pen{Width: v.dp(1), Colour: look.Plot})
	for _, b := range v.brackets(home) {
		frame(dst, b, ink.Pen{Width: v.dp(3), Colour: look.Plot})
		frame(dst, b, ink.Pen{Width: v.dp(1.4), Colour: look.White})
	}
}

// brackets returns what the window takes of the ribbon; across the ribbon's ends
// it is two pieces.
func (v view) brackets(home float64) (pieces []box) {
	r := v.ribbon
	if v.window.width >= 360 {
		return []box{{r.x0 + v.dp(1), r.y0 - v.dp(2), r.x1 - v.dp(1), r.y1 + v.dp(2)}}
	}
	width := v.window.width / 360 * r.w()
	middle := r.x0 + (0.5+arc(home, v.window.centre)/360)*r.w()
	for _, turn := range []float64{-r.w(), 0, r.w()} {
		b := box{middle + turn - width/2, r.y0 - v.dp(2), middle + turn + width/2, r.y1 + v.dp(2)}
		b = b.cut(box{r.x0 + v.dp(1), b.y0, r.x1 - v.dp(1), b.y1})
		if b.w() > v.dp(2) {
			pieces = append(pieces, b)
		}
	}
	return pieces
}

func fill(dst *image.RGBA, b box, c color.NRGBA) {
	ink.Fill(dst, ink.Rect{X0: b.x0, Y0: b.y0, X1: b.x1, Y1: b.y1}, c)
}

func frame(dst *image.RGBA, b box, p ink.Pen) {
	ink.Box(dst, ink.Rect{X0: b.x0, Y0: b.y0, X1: b.x1, Y1: b.y1}, p)
}

func line(dst *image.RGBA, x0, y0, x1, y1 float64, p ink.Pen) {
	ink.Line(dst, ink.Pt{X: x0, Y: y0}, ink.Pt{X: x1, Y: y1}, p)
}

func text(dst *image.RGBA, x, y float64, s string, size float64, c color.NRGBA, a ink.Anchor) {
	look.Type.Text(dst, ink.Pt{X: x, Y: y}, s, size, c, a)
}
