package field

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/study"
	"halocline/selection"
)

// notch is how far the wheel scrolls in one notch, in Fyne's units.
const notch = 25

// zoomPerNotch is how much one notch of the wheel narrows the window.
const zoomPerNotch = 1.15

// pixels returns where an event is, in screen pixels of the widget.
func (f *Field) pixels(p fyne.Position) (x, y float64) {
	s := f.scale()
	return float64(p.X) * s, float64(p.Y) * s
}

// MouseDown grabs what is under the pointer.
func (f *Field) MouseDown(e *desktop.MouseEvent) {
	f.ToolTipWidget.MouseOut() // the hint would cover what is dragged
	if e.Button == desktop.MouseButtonPrimary {
		f.grab(e.Position)
	}
	if c := fyne.CurrentApp().Driver().CanvasForObject(f); c != nil {
		c.Focus(f)
	}
}

// MouseUp ends a press that was no drag.
func (f *Field) MouseUp(*desktop.MouseEvent) { f.DragEnd() }

func (f *Field) grab(p fyne.Position) {
	if !f.known {
		return
	}
	x, y := f.pixels(p)
	at := f.placed()
	g := at.hit(x, y)
	if g.kind == nothing {
		return
	}
	if g.kind == theRibbon && !f.onBracket(at.view, x) {
		f.scrollTo(f.home + ((x-at.ribbon.x0)/at.ribbon.w()-0.5)*360)
	}
	if g.kind == aLine {
		f.keys = keys{true, g.channel, g.end}
	}
	f.pull = &pull{part: g, x: x, y: y, start: at, window: f.window}
	f.redraw()
}

func (f *Field) onBracket(v view, x float64) bool {
	for _, b := range v.brackets(f.home) {
		if x >= b.x0 && x <= b.x1 {
			return true
		}
	}
	return false
}

// Dragged moves what is grabbed.
func (f *Field) Dragged(e *fyne.DragEvent) {
	if f.pull == nil {
		return
	}
	x, y := f.pixels(e.Position)
	dx, dy := x-f.pull.x, y-f.pull.y
	if f.pull.part.kind == theRibbon {
		f.scrollTo(f.pull.window.centre + dx/f.pull.start.ribbon.w()*360)
		return
	}
	p := dragged(f.pull.start.pick, f.pull.part, f.pull.start.moved(f.pull.part, dx, dy))
	if p == f.pick {
		return
	}
	f.pick, f.pull.moved = p, true
	f.redraw()
	f.edited(p, study.Moved)
}

// DragEnd decides a drag.
func (f *Field) DragEnd() {
	p := f.pull
	if p == nil {
		return
	}
	f.pull = nil
	f.redraw()
	switch {
	case !p.moved:
	case f.pick == p.start.pick:
		f.edited(f.pick, study.Cancelled)
	default:
		f.edited(f.pick, study.Done)
	}
}

// cancel gives a drag up.
func (f *Field) cancel() {
	p := f.pull
	f.pull = nil
	f.pick = p.start.pick
	if p.part.kind == theRibbon {
		f.window = p.window
	}
	f.redraw()
	if p.moved {
		f.edited(f.pick, study.Cancelled)
	}
}

// scrollTo puts a hue in the window's middle.
func (f *Field) scrollTo(hue float64) {
	f.window, f.free, f.ground = hueWindow{norm(hue), f.window.width}, true, nil
	f.redraw()
}

// Scrolled zooms at the pointer, or scrolls with Shift.
func (f *Field) Scrolled(e *fyne.ScrollEvent) {
	x, y := f.pixels(e.Position)
	v := f.view()
	if f.pull != nil || !v.usable() || x >= v.plot.x1+v.dp(fieldGap) || y < 0 {
		return
	}
	if e.Scrolled.DX != 0 {
		f.scrollTo(f.window.centre - float64(e.Scrolled.DX)/notch*f.window.width/12)
		return
	}
	share := between((x-v.plot.x0)/v.plot.w(), 0, 1)
	if y >= v.plot.y1 { // over the ribbon
		share = 0.5
	}
	f.window = f.window.zoomed(share, math.Pow(zoomPerNotch, -float64(e.Scrolled.DY)/notch))
	f.free, f.ground = true, nil
	f.redraw()
}

// DoubleTapped on the ribbon shows the hues about the pick.
func (f *Field) DoubleTapped(e *fyne.PointEvent) {
	x, y := f.pixels(e.Position)
	at := f.placed()
	if at.hit(x, y).kind != theRibbon {
		return
	}
	f.free = false
	f.open(f.pick.Limits[selection.Hue])
	f.redraw()
}

// cursorAt says what a press would do.
func (f *Field) cursorAt(p fyne.Position) desktop.Cursor {
	x, y := f.pixels(p)
	at := f.placed()
	switch g := at.hit(x, y); {
	case g.kind == nothing:
		return desktop.DefaultCursor
	case g.kind == theRibbon, g.kind == aLine && g.channel == selection.Hue:
		return desktop.HResizeCursor
	case g.kind == aLine, g.kind == aMiddle && g.channel == selection.Light:
		return desktop.VResizeCursor
	}
	return desktop.PointerCursor
}

// MouseMoved is part of desktop.Hoverable.
func (f *Field) MouseMoved(e *desktop.MouseEvent) {
	f.ToolTipWidget.MouseMoved(e)
	f.cursor = f.cursorAt(e.Position)
}

// Cursor says what a press would do.
func (f *Field) Cursor() desktop.Cursor {
	if f.cursor == nil { // nothing was pointed at yet
		return desktop.DefaultCursor
	}
	return f.cursor
}
