package panels

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

const (
	narrowColumn, wideColumn     = 340, 440
	slimmestColumn, widestColumn = 320, 560
	wideWindow                   = 1600 // from here on the column is wide by itself
)

// Beside lays the column out to the right of what it is given. The edge between them can
// be dragged to make the column wider or narrower.
func (c *Column) Beside(left fyne.CanvasObject) fyne.CanvasObject {
	s := &split{column: c, width: narrowColumn}
	edge := newColumnEdge(s)
	s.all = container.New(s, left, c.all, edge)
	return s.all
}

// A split is the place of the edge between the column and what is left of it.
type split struct {
	column *Column
	width  float32 // of the column
	chosen bool    // it was dragged: it no longer follows the window's
	all    *fyne.Container
}

// fit sets the width that suits a window, unless the user chose one.
func (p *split) fit(window float32) {
	switch {
	case p.chosen:
	case window >= wideWindow:
		p.width = wideColumn
	default:
		p.width = narrowColumn
	}
}

func (p *split) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(420+slimmestColumn, 400)
}

func (p *split) Layout(o []fyne.CanvasObject, s fyne.Size) {
	p.fit(s.Width)
	at := s.Width - p.width
	o[0].Resize(fyne.NewSize(at, s.Height))
	o[1].Move(fyne.NewPos(at, 0))
	o[1].Resize(fyne.NewSize(p.width, s.Height))
	o[2].Move(fyne.NewPos(at-3, 0))
	o[2].Resize(fyne.NewSize(6, s.Height))
	p.column.settle()
}

// A columnEdge is dragged to make the column wider or narrower.
type columnEdge struct {
	widget.BaseWidget
	split *split
	line  *canvas.Rectangle
}

var (
	_ fyne.Draggable     = (*columnEdge)(nil)
	_ desktop.Cursorable = (*columnEdge)(nil)
)

func newColumnEdge(s *split) *columnEdge {
	e := &columnEdge{split: s, line: canvas.NewRectangle(color.Transparent)}
	e.ExtendBaseWidget(e)
	return e
}

func (e *columnEdge) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(e.line) }
func (e *columnEdge) Cursor() desktop.Cursor              { return desktop.HResizeCursor }

func (e *columnEdge) Dragged(d *fyne.DragEvent) {
	e.split.chosen = true
	e.split.width = max(slimmestColumn, min(widestColumn, e.split.width-d.Dragged.DX))
	e.split.all.Refresh()
}

func (e *columnEdge) DragEnd() {}
