package field

import (
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	tooltip "github.com/dweymouth/fyne-tooltip/widget"

	"halocline/app/study"
	"halocline/selection"
)

// A PlaneLine shows where dabs lie across a pick's plane, with its level and fades, and
// lets the user drag these. Use it on Fyne's goroutine.
type PlaneLine struct {
	tooltip.ToolTipWidget
	edited func(p selection.Pick, phase study.Phase)

	pick    selection.Pick
	dabs    []selection.Dab
	preview *selection.Pick // shown in place of pick

	lying   lying // of the dabs across what is shown
	reach   reach // what the line shows
	pull    *levelPull
	cursor  desktop.Cursor
	focused bool
	pic     *canvas.Image
}

// A levelPull is a drag of a level or a fade.
type levelPull struct {
	what  levelPart
	x     float64 // where it was pressed, in screen pixels
	start selection.Pick
	moved bool // an edit was reported
}

// lineHeight is a PlaneLine's, in Fyne's units.
const lineHeight = 96

const lineHint = "Where the dabs' colours lie across the plane: to keep above, to drop below. Drag the level (solid) or the ends of its fades (dashed). Keys: arrows move the level."

var (
	_ fyne.Draggable     = (*PlaneLine)(nil)
	_ fyne.Focusable     = (*PlaneLine)(nil)
	_ fyne.Shortcutable  = (*PlaneLine)(nil)
	_ desktop.Mouseable  = (*PlaneLine)(nil)
	_ desktop.Hoverable  = (*PlaneLine)(nil)
	_ desktop.Cursorable = (*PlaneLine)(nil)
)

// NewPlaneLine returns a PlaneLine without a pick. edited gets the whole pick when the user
// changes it, as of a Field.
func NewPlaneLine(edited func(p selection.Pick, phase study.Phase)) *PlaneLine {
	l := &PlaneLine{edited: edited, pic: &canvas.Image{ScaleMode: canvas.ImageScaleFastest}, lying: lyingAcross(selection.Pick{}, nil)}
	l.SetToolTip(lineHint)
	l.ExtendBaseWidget(l)
	return l
}

// Display shows a pick by plane and the dabs that say where its level may lie. While the user
// drags, both are left aside.
func (l *PlaneLine) Display(p selection.Pick, dabs []selection.Dab) {
	if l.pull != nil {
		return
	}
	same := p.Normal == l.pick.Normal && len(dabs) == len(l.dabs) && (len(dabs) == 0 || &dabs[0] == &l.dabs[0])
	l.pick, l.dabs = p, dabs
	if same && l.preview == nil {
		l.reach = reachOf(p, &l.lying)
		l.draw()
		return
	}
	l.measure()
}

// SetPreview shows the pick as it would become; nil: none.
func (l *PlaneLine) SetPreview(p *selection.Pick) {
	l.preview = p
	l.measure()
}

// measure finds where the dabs lie across what is shown, and how far the line reaches.
func (l *PlaneLine) measure() {
	l.lying = lyingAcross(l.shown(), l.dabs)
	l.reach = reachOf(l.shown(), &l.lying)
	l.draw()
}

// shown is the pick that is drawn.
func (l *PlaneLine) shown() selection.Pick {
	if l.preview != nil {
		return *l.preview
	}
	return l.pick
}

// MinSize leaves the width to the column.
func (l *PlaneLine) MinSize() fyne.Size {
	l.ExtendBaseWidget(l)
	return fyne.NewSize(240, lineHeight)
}

// geometry returns where things are drawn now.
func (l *PlaneLine) geometry() lineGeometry {
	scale, size := scaleOf(l), l.Size()
	return lineGeometry{int(math.Round(float64(size.Width) * scale)), int(math.Round(float64(size.Height) * scale)), scale, l.reach}
}

func (l *PlaneLine) draw() {
	g := l.geometry()
	if g.w < 8 || g.h < 8 {
		return
	}
	dst := image.NewRGBA(image.Rect(0, 0, g.w, g.h))
	var held levelPart
	if l.pull != nil {
		held = l.pull.what
	}
	lineScene{g, l.shown(), &l.lying, held, l.preview != nil, l.focused}.draw(dst)
	l.pic.Image = dst
	l.pic.Refresh()
}

// MouseDown grabs what is under the pointer.
func (l *PlaneLine) MouseDown(e *desktop.MouseEvent) {
	l.ToolTipWidget.MouseOut() // the hint would cover what is dragged
	if g := l.geometry(); e.Button == desktop.MouseButtonPrimary {
		x, y := float64(e.Position.X)*g.scale, float64(e.Position.Y)*g.scale
		if what := g.hit(l.pick, x, y); what != noLevelPart {
			l.pull = &levelPull{what: what, x: x, start: l.pick}
			l.draw()
		}
	}
	if c := fyne.CurrentApp().Driver().CanvasForObject(l); c != nil {
		c.Focus(l)
	}
}

// MouseUp ends a press that was no drag.
func (l *PlaneLine) MouseUp(*desktop.MouseEvent) { l.DragEnd() }

// Dragged moves what is grabbed.
func (l *PlaneLine) Dragged(e *fyne.DragEvent) {
	if l.pull == nil {
		return
	}
	g := l.geometry()
	by := (float64(e.Position.X)*g.scale - l.pull.x) * g.perPixel()
	p := movedLevel(l.pull.start, l.pull.what, by)
	if p == l.pick {
		return
	}
	l.pick, l.pull.moved = p, true
	l.draw()
	l.edited(p, study.Moved)
}

// DragEnd decides a drag.
func (l *PlaneLine) DragEnd() {
	p := l.pull
	if p == nil {
		return
	}
	l.pull = nil
	l.measure()
	switch {
	case !p.moved:
	case l.pick == p.start:
		l.edited(l.pick, study.Cancelled)
	default:
		l.edited(l.pick, study.Done)
	}
}

// cancel gives a drag up.
func (l *PlaneLine) cancel() {
	p := l.pull
	l.pull, l.pick = nil, p.start
	l.measure()
	if p.moved {
		l.edited(l.pick, study.Cancelled)
	}
}

// FocusGained is part of fyne.Focusable.
func (l *PlaneLine) FocusGained() {
	l.focused = true
	l.draw()
}

// FocusLost is part of fyne.Focusable.
func (l *PlaneLine) FocusLost() {
	l.focused = false
	l.draw()
}

// TypedRune hands letters and digits on to the window.
func (l *PlaneLine) TypedRune(r rune) { handRuneOn(l, r) }

// TypedKey moves the level, and gives a drag up. Other keys are the window's.
func (l *PlaneLine) TypedKey(e *fyne.KeyEvent) {
	switch {
	case e.Name == fyne.KeyEscape && l.pull != nil:
		l.cancel()
	case !l.arrow(e.Name, modifiers()):
		handKeyOn(l, e)
	}
}

// TypedShortcut takes Ctrl with an arrow; all others are the window's.
func (l *PlaneLine) TypedShortcut(s fyne.Shortcut) {
	if c, ok := s.(*desktop.CustomShortcut); ok && l.arrow(c.KeyName, c.Modifier) {
		return
	}
	handShortcutOn(l, s)
}

// arrow moves the level, and reports whether the key is an arrow.
func (l *PlaneLine) arrow(name fyne.KeyName, mods fyne.KeyModifier) bool {
	direction := directionOf(name)
	if direction == 0 {
		return false
	}
	by := byModifiers(direction*keyIncrement(l.pick.Model, selection.Across), mods)
	if p := movedLevel(l.pick, theLevel, by); l.pull == nil && !p.Limits[selection.Across].Off && p != l.pick {
		l.pick = p
		l.measure()
		l.edited(p, study.Done)
	}
	return true
}

// MouseMoved is part of desktop.Hoverable.
func (l *PlaneLine) MouseMoved(e *desktop.MouseEvent) {
	l.ToolTipWidget.MouseMoved(e)
	g := l.geometry()
	l.cursor = desktop.DefaultCursor
	if g.hit(l.pick, float64(e.Position.X)*g.scale, float64(e.Position.Y)*g.scale) != noLevelPart {
		l.cursor = desktop.HResizeCursor
	}
}

// Cursor says what a press would do.
func (l *PlaneLine) Cursor() desktop.Cursor {
	if l.cursor == nil { // nothing was pointed at yet
		return desktop.DefaultCursor
	}
	return l.cursor
}

// HandlePlace returns where a handle is within the widget: 0 that of the fade on the drop
// side, 1 that of the level, 2 that of the fade on the keep side.
func (l *PlaneLine) HandlePlace(handle int) fyne.Position {
	g := l.geometry()
	x, y := g.handle(l.pick, levelPart(handle+1))
	return fyne.NewPos(float32(x/g.scale), float32(y/g.scale))
}

// CreateRenderer is part of fyne.Widget.
func (l *PlaneLine) CreateRenderer() fyne.WidgetRenderer {
	l.ExtendBaseWidget(l)
	return &renderer{l, l.pic, l.draw, func() (int, int, float64) { g := l.geometry(); return g.w, g.h, g.scale }}
}
