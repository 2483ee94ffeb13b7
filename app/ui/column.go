package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// The column is the right part of the window: the work row, the open step's
// controls, the other steps as lines, and Judge at its foot. Its width can be
// dragged.
type column struct {
	w       *window
	width   float32
	chosen  bool // the width was dragged: it no longer follows the window's
	edge    *columnEdge
	control *fyne.Container
	nothing *look.Label // in place of controls of what is not there
	begin   *look.Button
	middle  *fyne.Container // the controls, and the other steps below them
	scroll  *container.Scroll
	high    float32 // what control needed when middle was laid out
	all     fyne.CanvasObject
}

const (
	narrowColumn, wideColumn     = 340, 440
	slimmestColumn, widestColumn = 320, 560
	wideWindow                   = 1600 // from here on the column is wide by itself
)

func newColumn(w *window) *column {
	c := &column{w: w, width: narrowColumn, control: container.NewStack()}
	c.edge = newColumnEdge(c)
	for _, s := range desk.Steps {
		c.control.Add(look.Pad(12, 12, 12, 6, w.panels[s].object()))
	}
	c.nothing = look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.Second})
	c.begin = look.NewButton("", c.start)
	c.control.Add(look.Pad(12, 12, 12, 6, look.VBox(10, c.nothing, container.NewHBox(c.begin))))
	c.middle = look.VBox(0, c.control, look.Rule(), look.Pad(12, 4, 12, 4, w.list.object()))
	c.scroll = container.NewVScroll(c.middle)
	c.all = look.Ground(look.Column, container.NewBorder(w.work.object(), w.judge.Object(), nil, nil, c.scroll))
	return c
}

func (c *column) object() fyne.CanvasObject { return c.all }

// display shows the open step's controls alone. All but Base's are of a matte.
func (c *column) display() {
	d := c.w.desk
	there := d.Matte() != nil || d.Step == desk.StepBase && d.Study() != nil
	for i, o := range c.control.Objects[:len(desk.Steps)] {
		look.Show(o, there && desk.Step(i) == d.Step)
	}
	look.Show(c.control.Objects[len(desk.Steps)], !there)
	if d.Study() == nil {
		c.nothing.SetText("Nothing is open.")
		c.begin.SetLabel(openLabel)
		return
	}
	c.nothing.SetText("There is no matte yet.")
	c.begin.SetLabel("New matte")
}

// start is what there is to do while the open step has nothing to set.
func (c *column) start() {
	if c.w.desk.Study() == nil {
		c.w.chooseToOpen()
		return
	}
	c.w.desk.NewMatte()
}

// settle moves what lies below the controls once they need another height, and
// gives the steps' lines the room that is left.
func (c *column) settle() {
	high := c.control.MinSize().Height
	if room := c.scroll.Size().Height; room > 0 {
		c.w.list.fit(room - high - listMargin)
	}
	if high != c.high {
		c.high = high
		c.middle.Refresh()
	}
}

// listMargin is the rule above the steps' lines, and what is free around them.
const listMargin = 1 + 2*4

// fit sets the width that suits a window, unless the user chose one.
func (c *column) fit(window float32) {
	switch {
	case c.chosen:
	case window >= wideWindow:
		c.width = wideColumn
	default:
		c.width = narrowColumn
	}
}

// desk lays out the frame's side, the column, and the edge between them that
// can be dragged.
type splitLayout struct{ column *column }

func (d *splitLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(420+slimmestColumn, 400)
}

func (d *splitLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	d.column.fit(s.Width)
	split := s.Width - d.column.width
	o[0].Resize(fyne.NewSize(split, s.Height))
	o[1].Move(fyne.NewPos(split, 0))
	o[1].Resize(fyne.NewSize(d.column.width, s.Height))
	o[2].Move(fyne.NewPos(split-3, 0))
	o[2].Resize(fyne.NewSize(6, s.Height))
	d.column.settle()
}

// A columnEdge is dragged to make the column wider or narrower.
type columnEdge struct {
	widget.BaseWidget
	c    *column
	line *canvas.Rectangle
}

var (
	_ fyne.Draggable     = (*columnEdge)(nil)
	_ desktop.Cursorable = (*columnEdge)(nil)
)

func newColumnEdge(c *column) *columnEdge {
	e := &columnEdge{c: c, line: canvas.NewRectangle(color.Transparent)}
	e.ExtendBaseWidget(e)
	return e
}

func (e *columnEdge) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(e.line) }
func (e *columnEdge) Cursor() desktop.Cursor              { return desktop.HResizeCursor }

func (e *columnEdge) Dragged(d *fyne.DragEvent) {
	e.c.chosen = true
	e.c.width = max(slimmestColumn, min(widestColumn, e.c.width-d.Dragged.DX))
	e.c.w.body.Refresh()
}

func (e *columnEdge) DragEnd() {}
