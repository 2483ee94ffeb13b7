package panels

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"

	"halocline/app/ink"
	"halocline/app/ui/look"
)

// A parade shows red, green and blue of a sampled grey side by side: grey as it
// came, coloured after Base, and their mean as a dotted line. Where the three
// lie at one height, the colour is right.
type parade struct {
	widget.BaseWidget
	picture       *canvas.Image
	before, after []trace3
}

const (
	paradeAxis   = 28 // left of the plots, for the scale
	paradeHeight = 80
	paradeGap    = 8
)

func newParade() *parade {
	p := &parade{picture: canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1)))}
	p.picture.FillMode, p.picture.ScaleMode = canvas.ImageFillStretch, canvas.ImageScaleFastest
	p.ExtendBaseWidget(p)
	return p
}

func (p *parade) MinSize() fyne.Size { return fyne.NewSize(200, paradeHeight) }

func (p *parade) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.picture) }

func (p *parade) Resize(s fyne.Size) {
	p.BaseWidget.Resize(s)
	p.draw()
}

// show draws the traces of a sample; none for nil.
func (p *parade) show(before, after []trace3) {
	p.before, p.after = before, after
	p.draw()
}

func (p *parade) draw() {
	scale := float32(1)
	if c := fyne.CurrentApp().Driver().CanvasForObject(p); c != nil {
		scale = c.Scale()
	}
	size := p.Size()
	w, h := int(size.Width*scale), int(size.Height*scale)
	if w < 8 || h < 8 {
		return
	}
	p.picture.Image = drawParade(w, h, float64(scale), p.before, p.after)
	p.picture.Refresh()
}

// paradeInks are the colours of the traces: muted, told apart by their places.
var paradeInks = [3]color.NRGBA{{0xd9, 0x9a, 0x84, 0xff}, {0x96, 0xc4, 0x9a, 0xff}, {0x8c, 0xb4, 0xd6, 0xff}}

func drawParade(w, h int, scale float64, before, after []trace3) *image.RGBA {
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(dst, dst.Rect, image.NewUniform(look.Column), image.Point{}, draw.Src)
	axis, gap := paradeAxis*scale, paradeGap*scale
	each := (float64(w) - axis - 2*gap) / 3
	low, high := paradeRange(before, after)
	y := func(v float64) float64 { return float64(h) * (1 - (v-low)/(high-low)) }
	for i, name := range []string{"R", "G", "B"} {
		x0 := axis + float64(i)*(each+gap)
		ink.Fill(dst, ink.Rect{X0: x0, Y0: 0, X1: x0 + each, Y1: float64(h)}, look.Plot)
		look.Type.Text(dst, ink.Pt{X: x0 + 6*scale, Y: 4 * scale}, name, look.AxisSize*scale, look.Text, ink.TopLeft)
		for _, t := range before {
			ink.Fill(dst, dotAt(x0+t.u*each, y(t.v[i]), scale), look.Off)
		}
		for _, t := range after {
			ink.Fill(dst, dotAt(x0+t.u*each, y(t.v[i]), scale), paradeInks[i])
		}
	}
	for _, v := range []float64{low + 0.2*(high-low), low + 0.5*(high-low), low + 0.8*(high-low)} {
		look.Type.Text(dst, ink.Pt{X: axis - 5*scale, Y: y(v)}, fmt.Sprintf("%.2f", v), look.AxisSize*scale, look.Third, ink.MidRight)
	}
	if len(after) > 0 {
		m := meanColour(after)
		level := y((m[0] + m[1] + m[2]) / 3)
		ink.Line(dst, ink.Pt{X: axis, Y: level}, ink.Pt{X: float64(w), Y: level}, ink.Pen{Width: scale, Colour: look.Bone, Dash: []float64{1.5 * scale, 3 * scale}})
	}
	return dst
}

func dotAt(x, y, scale float64) ink.Rect {
	return ink.Rect{X0: x, Y0: y - scale/2, X1: x + scale, Y1: y + scale/2}
}

// paradeRange is what the plots' height stands for: all that is shown, and not
// less than a fifth of the scale, so that noise does not look like a cast.
func paradeRange(sets ...[]trace3) (low, high float64) {
	low, high = 1, 0
	for _, set := range sets {
		for _, t := range set {
			low, high = min(low, t.v[0], t.v[1], t.v[2]), max(high, t.v[0], t.v[1], t.v[2])
		}
	}
	if low > high {
		return 0, 1
	}
	low, high = low-0.04, high+0.04
	if missing := 0.2 - (high - low); missing > 0 {
		low, high = low-missing/2, high+missing/2
	}
	return max(low, 0), min(high, 1)
}
