package proofs

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"halocline/app/proof"
	"halocline/app/ui/look"
)

// A Cell is one proof of a sheet: its picture, its name, its figures. A press
// chooses it; a drag moves all pictures, the wheel zooms them.
type Cell struct {
	widget.BaseWidget
	p    *Sheet
	item int

	back, border *canvas.Rectangle
	picture      *canvas.Image
	name, tag    *look.Label
	names        []*look.Label // of figures
	values       []*look.Label
	places       [][2]int // of each figure: side, line
	chosen       bool
}

var (
	_ desktop.Mouseable   = (*Cell)(nil)
	_ fyne.Draggable      = (*Cell)(nil)
	_ fyne.Scrollable     = (*Cell)(nil)
	_ desktop.Cursorable  = (*Cell)(nil)
	_ fyne.WidgetRenderer = (*cellRenderer)(nil)
)

func newCell(p *Sheet, item int) *Cell {
	c := &Cell{p: p, item: item, back: canvas.NewRectangle(look.Card), border: canvas.NewRectangle(color.Transparent)}
	c.picture = canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1)))
	c.picture.FillMode, c.picture.ScaleMode = canvas.ImageFillStretch, canvas.ImageScaleFastest
	c.back.CornerRadius, c.border.CornerRadius, c.border.StrokeWidth = 3, 3, 2
	c.name = look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.White, Bold: true})
	c.tag = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second, Align: fyne.TextAlignTrailing})
	c.ExtendBaseWidget(c)
	return c
}

// show writes an item's name, what is to be said of it, and its figures.
func (c *Cell) show(it proof.Item, tag string, accent bool, columns [2][]proof.Column, f proof.Figures) {
	c.name.SetText(it.Name)
	c.tag.SetText(tag)
	if accent {
		c.tag.SetColour(look.AccentText)
	} else {
		c.tag.SetColour(look.Second)
	}
	n := 0
	for side, all := range columns {
		for line, column := range all {
			c.figure(n, side, line)
			c.names[n].SetText(column.Name)
			c.values[n].SetText(column.Text(f))
			n++
		}
	}
	if len(c.names) != n {
		c.names, c.values, c.places = c.names[:n], c.values[:n], c.places[:n]
		c.Refresh()
	}
}

// figure makes the labels of the n-th figure, where they are not there yet.
func (c *Cell) figure(n, side, line int) {
	if n == len(c.names) {
		c.names = append(c.names, look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second}))
		c.values = append(c.values, look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text, Align: fyne.TextAlignTrailing}))
		c.places = append(c.places, [2]int{})
		c.Refresh()
	}
	if at := [2]int{side, line}; c.places[n] != at {
		c.places[n] = at
		c.Refresh()
	}
}

// setPicture shows a picture of the cell's pixels.
func (c *Cell) setPicture(m *image.RGBA) {
	c.picture.Image = m
	c.picture.Refresh()
}

func (c *Cell) setChosen(on bool) {
	if c.chosen != on {
		c.chosen = on
		c.Refresh()
	}
}

// Name is what the proof is called.
func (c *Cell) Name() string { return c.name.Text() }

func (c *Cell) MouseDown(e *desktop.MouseEvent) {
	look.Focus(c.p.grid)
	if e.Button == desktop.MouseButtonPrimary {
		c.p.choose(c.item)
	}
}

func (c *Cell) MouseUp(*desktop.MouseEvent) {}

func (c *Cell) Dragged(e *fyne.DragEvent) { c.p.pan(e.Dragged) }
func (c *Cell) DragEnd()                  {}

// Scrolled zooms where a picture is, and scrolls elsewhere.
func (c *Cell) Scrolled(e *fyne.ScrollEvent) {
	size := c.p.grid.plan.picture
	if e.Position.Y >= size.Height {
		c.p.grid.scroll.Scrolled(e)
		return
	}
	c.p.zoom(float64(e.Scrolled.DY)/25, float64(e.Position.X/size.Width), float64(e.Position.Y/size.Height))
}

func (c *Cell) Cursor() desktop.Cursor { return desktop.DefaultCursor }

func (c *Cell) MinSize() fyne.Size { return c.p.grid.plan.cell }

func (c *Cell) CreateRenderer() fyne.WidgetRenderer {
	r := &cellRenderer{c: c}
	r.Refresh()
	return r
}

type cellRenderer struct {
	c       *Cell
	objects []fyne.CanvasObject
}

func (r *cellRenderer) Layout(s fyne.Size) {
	c := r.c
	c.back.Resize(s)
	c.border.Resize(s)
	picture := c.p.grid.plan.picture
	c.picture.Resize(fyne.NewSize(s.Width, picture.Height))
	const pad = 12
	inner := s.Width - 2*pad
	y := picture.Height + 6
	place := func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(w, h))
	}
	place(c.name, pad, y, inner*0.62, 20)
	place(c.tag, pad+inner*0.62, y, inner*0.38, 20)
	const between = 20
	half := (inner - between) / 2
	for i, at := range c.places {
		x := pad + float32(at[0])*(half+between)
		line := picture.Height + captionHead + float32(at[1])*captionLine
		place(c.names[i], x, line, half*0.6, captionLine)
		place(c.values[i], x+half*0.4, line, half*0.6, captionLine)
	}
}

func (r *cellRenderer) MinSize() fyne.Size           { return r.c.MinSize() }
func (r *cellRenderer) Destroy()                     {}
func (r *cellRenderer) Objects() []fyne.CanvasObject { return r.objects }

func (r *cellRenderer) Refresh() {
	c := r.c
	r.objects = append(r.objects[:0:0], c.back, c.picture, c.name, c.tag)
	for i := range c.names {
		r.objects = append(r.objects, c.names[i], c.values[i])
	}
	r.objects = append(r.objects, c.border)
	c.border.FillColor, c.border.StrokeColor = color.Transparent, color.Transparent
	if c.chosen {
		c.border.StrokeColor = look.Accent
	}
	c.border.Refresh()
	r.Layout(c.Size())
}
