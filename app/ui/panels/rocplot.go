package panels

import (
	"image"
	"image/color"
	"image/draw"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/selection"
)

// A rocPlot draws ROC curves: upward what is kept of what is to be kept, to the
// right what is caught of what is to be dropped, 0 to 1. A curve along the left and
// the top parts all; one on the dotted diagonal nothing.
type rocPlot struct {
	widget.BaseWidget
	picture *canvas.Image
	side    float32
	curves  [][]selection.ROCPoint // as many as curvePens; nil for none
}

// curvePens tell the curves apart by their dashes, in the order of separationNames;
// the pick's own is the thick one, and after them comes what the pick could do.
var curvePens = []ink.Pen{
	{Width: 1.2, Colour: look.Second, Dash: []float64{1.5, 2.5}},
	{Width: 1.2, Colour: look.Second, Dash: []float64{5, 3}},
	{Width: 1.2, Colour: look.Second, Dash: []float64{8, 2, 1.5, 2}},
	{Width: 2.2, Colour: look.Bone},
	{Width: 1.2, Colour: look.Text},
	{Width: 3, Colour: look.Off},
}

// curveOrder is the order in which curves are drawn: the pick's own on top.
var curveOrder = []int{5, 0, 1, 2, 4, 3}

func newRocPlot(side float32) *rocPlot {
	p := &rocPlot{side: side, picture: canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1)))}
	p.picture.FillMode, p.picture.ScaleMode = canvas.ImageFillStretch, canvas.ImageScaleFastest
	p.ExtendBaseWidget(p)
	return p
}

func (p *rocPlot) MinSize() fyne.Size { return fyne.NewSize(p.side, p.side) }

func (p *rocPlot) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.picture) }

func (p *rocPlot) Resize(s fyne.Size) {
	p.BaseWidget.Resize(s)
	p.draw()
}

// show draws curves, one for each of curvePens.
func (p *rocPlot) show(curves [][]selection.ROCPoint) {
	p.curves = curves
	p.draw()
}

func (p *rocPlot) draw() {
	scale := float32(1)
	if c := fyne.CurrentApp().Driver().CanvasForObject(p); c != nil {
		scale = c.Scale()
	}
	w, h := int(p.Size().Width*scale), int(p.Size().Height*scale)
	if w < 16 || h < 16 {
		return
	}
	p.picture.Image = drawROC(w, h, float64(scale), p.curves)
	p.picture.Refresh()
}

func drawROC(w, h int, scale float64, curves [][]selection.ROCPoint) *image.RGBA {
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(dst, dst.Rect, image.NewUniform(look.Plot), image.Point{}, draw.Src)
	margin := 4 * scale
	at := func(p selection.ROCPoint) ink.Pt {
		return ink.Pt{X: margin + p.Caught*(float64(w)-2*margin), Y: float64(h) - margin - p.Kept*(float64(h)-2*margin)}
	}
	none, all := at(selection.ROCPoint{}), at(selection.ROCPoint{Kept: 1, Caught: 1})
	ink.Box(dst, ink.Rect{X0: none.X, Y0: all.Y, X1: all.X, Y1: none.Y}, ink.Pen{Width: scale, Colour: look.Chosen})
	ink.Line(dst, none, all, ink.Pen{Width: scale, Colour: look.Off, Dash: []float64{scale, 4 * scale}})
	for _, i := range curveOrder {
		if i >= len(curves) || len(curves[i]) == 0 {
			continue
		}
		curve := curves[i]
		pts := make([]ink.Pt, len(curve))
		for k, p := range curve {
			pts[k] = at(p)
		}
		ink.Polyline(dst, pts, false, scaled(curvePens[i], scale))
	}
	foot := color.NRGBA(look.Third)
	look.Type.Text(dst, ink.Pt{X: all.X - 3*scale, Y: none.Y - 3*scale}, "right: caught", 10*scale, foot, ink.BaseRight)
	look.Type.Text(dst, ink.Pt{X: all.X - 3*scale, Y: none.Y - 15*scale}, "up: kept", 10*scale, foot, ink.BaseRight)
	return dst
}

// scaled is a pen for a screen of some scale.
func scaled(p ink.Pen, scale float64) ink.Pen {
	dash := make([]float64, len(p.Dash))
	for i, d := range p.Dash {
		dash[i] = d * scale
	}
	p.Width, p.Dash = p.Width*scale, dash
	return p
}

// dashSample is a curve's line as the list beside the plot shows it.
func dashSample(i int) fyne.CanvasObject {
	const w, h, fine = 22, 10, 2
	dst := image.NewRGBA(image.Rect(0, 0, w*fine, h*fine))
	draw.Draw(dst, dst.Rect, image.NewUniform(look.Column), image.Point{}, draw.Src)
	ink.Line(dst, ink.Pt{Y: h * fine / 2}, ink.Pt{X: w * fine, Y: h * fine / 2}, scaled(curvePens[i], fine))
	m := canvas.NewImageFromImage(dst)
	m.FillMode, m.ScaleMode = canvas.ImageFillStretch, canvas.ImageScaleFastest
	return look.Fixed(w, h, m)
}
