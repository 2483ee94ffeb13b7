package viewer

import (
	"image/color"
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/view"
)

// What lies under marks and words so that they show on any picture.
var (
	shade      = color.NRGBA{A: 0x90}
	nameGround = color.NRGBA{0x26, 0x26, 0x26, 0xe0}
)

// Who holds the drag that is on.
type holder int

const (
	byNobody  holder = iota
	byTool           //
	byPan            //
	byDivider        //
	byEscape         // it was undone: nothing happens until the button is up
)

// A hold is a drag, from the press on.
type hold struct {
	by     holder
	button desktop.MouseButton
	from   Pointer
	vp     view.Viewport // at the press
	share  float64       // where the divider was
}

// A click is the last press, to tell two in quick succession.
type click struct {
	at     Pointer
	button desktop.MouseButton
	when   time.Time
}

const (
	doubleTime  = 350 * time.Millisecond
	doubleReach = 4  // screen px
	notch       = 25 // of a scroll event
)

// pointer is where an event was. Fyne's position within the widget is off by
// parts of a pixel where the widget does not begin on a whole one; the picture
// is drawn from a whole one on.
func (v *Viewer) pointer(e fyne.PointEvent, b desktop.MouseButton, m fyne.KeyModifier) Pointer {
	s := float64(v.scale)
	corner := e.AbsolutePosition.Subtract(e.Position) // the widget's, in the window
	x := math.Round(float64(e.AbsolutePosition.X)*s) - math.Round(float64(corner.X)*s)
	y := math.Round(float64(e.AbsolutePosition.Y)*s) - math.Round(float64(corner.Y)*s)
	p := Pointer{SX: x + 0.5, SY: y + 0.5, Button: b, Mods: m}
	p.X, p.Y = v.vp.ToPicture(p.SX, p.SY)
	return p
}

// mods are the modifiers that are down now.
func mods() fyne.KeyModifier {
	if app := fyne.CurrentApp(); app != nil {
		if d, ok := app.Driver().(desktop.Driver); ok {
			return d.CurrentKeyModifiers()
		}
	}
	return 0
}

// double reports whether a press is the second of two; a third is none.
func (v *Viewer) double(p Pointer) bool {
	was, now := v.clicked, v.now()
	v.clicked = click{p, p.Button, now}
	if was.button == p.Button && now.Sub(was.when) <= doubleTime && math.Hypot(p.SX-was.at.SX, p.SY-was.at.SY) <= doubleReach {
		v.clicked = click{}
		return true
	}
	return false
}

// MouseDown is for Fyne.
func (v *Viewer) MouseDown(e *desktop.MouseEvent) {
	if c := v.canvas(); c != nil {
		c.Focus(v)
	}
	if v.ringed {
		v.ringed = false
		v.Redraw()
	}
	p := v.pointer(e.PointEvent, e.Button, e.Modifier)
	if v.hold.by != byNobody {
		if v.hold.button != e.Button {
			return // a second button during a drag
		}
		v.release(v.at) // its release went elsewhere
	}
	p.Double = v.double(p)
	v.at = p
	v.hold = hold{button: e.Button, from: p, vp: v.vp, share: v.divider}
	v.hold.by = v.holderOf(p)
	if v.hold.by == byDivider {
		v.Redraw()
	}
}

// holderOf is who takes a press.
func (v *Viewer) holderOf(p Pointer) holder {
	switch {
	case v.vp.Empty():
		return byNobody
	case p.Button == desktop.MouseButtonTertiary:
		return byPan
	case p.Button == desktop.MouseButtonPrimary && v.onDivider(p):
		return byDivider
	case v.tool != nil && v.tool.Press(p):
		return byTool
	case p.Button == desktop.MouseButtonPrimary:
		return byPan
	}
	return byNobody
}

// Dragged is for Fyne: a drag of the primary or the middle button, two units
// from the press on, also beside the widget.
func (v *Viewer) Dragged(e *fyne.DragEvent) {
	v.moved(v.pointer(e.PointEvent, v.hold.button, mods()))
}

// MouseMoved is for Fyne: no button is down, or the secondary one is, or another
// has not yet moved far enough for a drag.
func (v *Viewer) MouseMoved(e *desktop.MouseEvent) {
	p := v.pointer(e.PointEvent, e.Button, mods())
	if v.hold.by != byNobody && e.Button&v.hold.button == 0 {
		v.release(v.at) // its release went elsewhere
	}
	v.moved(p)
}

// MouseIn is for Fyne.
func (v *Viewer) MouseIn(e *desktop.MouseEvent) {
	v.hovered = true
	v.MouseMoved(e)
}

// MouseOut is for Fyne.
func (v *Viewer) MouseOut() {
	v.hovered = false
	if v.tool != nil && v.hold.by == byNobody {
		v.tool.Leave()
	}
	if v.OnPointer != nil {
		v.OnPointer(v.at, false)
	}
}

// moved takes the mouse to p.
func (v *Viewer) moved(p Pointer) {
	v.at = p
	switch v.hold.by {
	case byNobody:
		if v.tool != nil {
			v.tool.Hover(p)
		}
	case byTool:
		v.tool.Drag(p)
	case byPan:
		v.show(v.hold.vp.Panned(p.SX-v.hold.from.SX, p.SY-v.hold.from.SY), true)
	case byDivider:
		v.moveDivider(v.hold.share + (p.SX-v.hold.from.SX)/float64(v.vp.VW))
	}
	if v.OnPointer != nil {
		v.at.X, v.at.Y = v.vp.ToPicture(p.SX, p.SY)
		v.OnPointer(v.at, v.at.X >= 0 && v.at.Y >= 0 && v.at.X < float64(v.vp.W) && v.at.Y < float64(v.vp.H))
	}
}

func (v *Viewer) moveDivider(share float64) {
	was := v.divider
	v.SetDivider(min(max(share, 0), 1))
	if v.OnDivider != nil && v.divider != was {
		v.OnDivider(v.divider)
	}
}

// DragEnd is for Fyne: the button is up, or the window lost the focus.
func (v *Viewer) DragEnd() { v.release(v.at) }

// MouseUp is for Fyne. It comes before DragEnd, or not at all.
func (v *Viewer) MouseUp(e *desktop.MouseEvent) {
	if e.Button == v.hold.button {
		v.release(v.pointer(e.PointEvent, e.Button, e.Modifier))
	}
}

// release ends a drag where it is.
func (v *Viewer) release(p Pointer) {
	by := v.hold.by
	v.hold = hold{}
	switch by {
	case byTool:
		v.tool.Release(p)
	case byDivider:
		v.Redraw()
	}
}

// cancel undoes the drag that is on; it reports whether there was one.
func (v *Viewer) cancel() bool {
	by := v.hold.by
	if by == byNobody || by == byEscape {
		return false
	}
	v.hold.by = byEscape
	switch by {
	case byTool:
		v.tool.Cancel()
	case byPan:
		v.show(v.hold.vp.Resized(v.vp.VW, v.vp.VH), true)
	case byDivider:
		v.moveDivider(v.hold.share)
		v.Redraw()
	}
	return true
}

// Scrolled is for Fyne. Shift turns the wheel's direction, which says nothing
// here.
func (v *Viewer) Scrolled(e *fyne.ScrollEvent) {
	turn := e.Scrolled.DY
	if turn == 0 {
		turn = e.Scrolled.DX
	}
	if turn == 0 || v.vp.Empty() {
		return
	}
	p := v.pointer(e.PointEvent, v.hold.button, mods())
	if v.tool != nil && v.tool.Wheel(p, float64(turn)/notch) {
		return
	}
	v.show(v.vp.ZoomedByNotches(p.SX, p.SY, float64(turn)/notch), true)
	if v.hold.by == byPan { // it goes on from here
		v.hold.from, v.hold.vp = p, v.vp
	}
}

// Cursor is for Fyne.
func (v *Viewer) Cursor() desktop.Cursor {
	switch {
	case v.hold.by == byDivider, v.hold.by == byNobody && v.onDivider(v.at):
		return desktop.HResizeCursor
	case v.hold.by == byPan:
		return desktop.PointerCursor
	case v.tool != nil && !v.vp.Empty():
		return v.tool.Cursor(v.at)
	}
	return desktop.DefaultCursor
}

// FocusGained is for Fyne.
func (v *Viewer) FocusGained() {
	v.ringed = true // a press takes the ring away at once
	v.Redraw()
}

// FocusLost is for Fyne.
func (v *Viewer) FocusLost() {
	v.ringed = false
	v.Redraw()
}

// AcceptsTab is for Fyne.
func (v *Viewer) AcceptsTab() bool {
	t, ok := v.tool.(Tabber)
	return ok && t.WantsTab()
}

// TypedKey is for Fyne.
func (v *Viewer) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape && v.cancel() {
		return
	}
	m := mods()
	if v.tool != nil && v.tool.Key(e.Name, m) {
		return
	}
	c := v.canvas()
	switch {
	case c == nil:
	case e.Name == fyne.KeyTab && m&fyne.KeyModifierShift != 0:
		c.FocusPrevious()
	case e.Name == fyne.KeyTab:
		c.FocusNext()
	case c.OnTypedKey() != nil:
		c.OnTypedKey()(e)
	}
}

// TypedRune is for Fyne.
func (v *Viewer) TypedRune(r rune) {
	if c := v.canvas(); c != nil && c.OnTypedRune() != nil {
		c.OnTypedRune()(r)
	}
}

// KeyDown is for Fyne.
func (v *Viewer) KeyDown(e *fyne.KeyEvent) {
	if c, ok := v.canvas().(desktop.Canvas); ok && c.OnKeyDown() != nil {
		c.OnKeyDown()(e)
	}
}

// KeyUp is for Fyne.
func (v *Viewer) KeyUp(e *fyne.KeyEvent) {
	if c, ok := v.canvas().(desktop.Canvas); ok && c.OnKeyUp() != nil {
		c.OnKeyUp()(e)
	}
}
