package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"
)

const (
	target = 24 // the least height of what can be pressed (WCAG 2.2, 2.5.8)
	radius = 3  // of corners
	ring   = 2  // width of the focus ring
)

var (
	lowerLine = grey(0x6a) // under what can be typed into
	ruleGrey  = grey(0x45)
	hoverGrey = grey(0x4c)
	pillGrey  = grey(0x96) // a switch that is on, the set part of a slider
)

// A control is what all of ours share: a hint at the pointer, a focus ring, and
// keys that it leaves alone going on to the window.
type control struct {
	ttwidget.ToolTipWidget
	self    fyne.Widget
	off     bool
	hovered bool
	focused bool
	byPress bool // focused by the pointer: no ring until a key is pressed
}

// start binds the control to the widget that embeds it.
func (c *control) start(self fyne.Widget, hint string) {
	c.self = self
	c.ExtendBaseWidget(self)
	c.SetToolTip(hint)
}

// SetHint sets the words shown at the pointer; none where empty.
func (c *control) SetHint(hint string) { c.SetToolTip(hint) }

// Enable lets the control be used.
func (c *control) Enable() { c.setOff(false) }

// Disable greys the control; it keeps showing its value.
func (c *control) Disable() { c.setOff(true) }

// SetEnabled enables or disables it.
func (c *control) SetEnabled(on bool) { c.setOff(!on) }

// Disabled tells whether the control is greyed.
func (c *control) Disabled() bool { return c.off }

func (c *control) setOff(off bool) {
	if c.off == off {
		return
	}
	c.off = off
	c.self.Refresh()
}

func (c *control) FocusGained() {
	c.focused = true
	c.self.Refresh()
}

func (c *control) FocusLost() {
	c.focused, c.byPress = false, false
	c.self.Refresh()
}

func (c *control) TypedRune(r rune) { c.passRune(r) }

func (c *control) MouseIn(ev *desktop.MouseEvent) {
	c.hovered = true
	c.ToolTipWidget.MouseIn(ev)
	c.self.Refresh()
}

func (c *control) MouseOut() {
	c.hovered = false
	HideHint(c.ToolTipWidget.MouseOut, func() bool { return c.hovered })
	c.self.Refresh()
}

// MouseDown takes the focus from whatever has it, so that an entry commits
// before the press acts, and leaves it nowhere: after a click the window's own
// keys work.
func (c *control) MouseDown(*desktop.MouseEvent) {
	c.ToolTipWidget.MouseOut()
	if in := canvasOf(c.self); in != nil && !c.focused {
		in.Unfocus()
	}
}

func (c *control) MouseUp(*desktop.MouseEvent) {}

// focusByPress takes the focus without a ring.
func (c *control) focusByPress() {
	in := canvasOf(c.self)
	if in == nil || c.focused {
		return
	}
	c.byPress = true
	in.Focus(c.self.(fyne.Focusable))
}

// typed notes that the keyboard is in use, so the ring shows.
func (c *control) typed() {
	if c.byPress {
		c.byPress = false
		c.self.Refresh()
	}
}

// passKey hands a key that the control has no use for to the window.
func (c *control) passKey(ev *fyne.KeyEvent) { PassKey(c.self, ev) }

// KeyDown and KeyUp tell the window of keys that are held, for what lasts as long.
func (c *control) KeyDown(ev *fyne.KeyEvent) { passHeldKey(c.self, ev, desktop.Canvas.OnKeyDown) }
func (c *control) KeyUp(ev *fyne.KeyEvent)   { passHeldKey(c.self, ev, desktop.Canvas.OnKeyUp) }

func (c *control) passRune(r rune) {
	if in := canvasOf(c.self); in != nil && in.OnTypedRune() != nil {
		in.OnTypedRune()(r)
	}
}

func canvasOf(o fyne.CanvasObject) fyne.Canvas {
	return fyne.CurrentApp().Driver().CanvasForObject(o)
}

// shift tells whether a Shift key is down.
func shift() bool {
	d, ok := fyne.CurrentApp().Driver().(desktop.Driver)
	return ok && d.CurrentKeyModifiers()&fyne.KeyModifierShift != 0
}

// ringAround puts the focus ring outside of at, which is in the control's own
// coordinates, where the control has the focus from the keyboard.
func (c *control) ringAround(r *canvas.Rectangle, at fyne.Position, size fyne.Size) {
	r.Hidden = !c.focused || c.byPress
	r.Move(at.SubtractXY(ring, ring))
	r.Resize(size.AddWidthHeight(2*ring, 2*ring))
}

func newRing() *canvas.Rectangle {
	r := canvas.NewRectangle(color.Transparent)
	r.StrokeColor, r.StrokeWidth, r.CornerRadius = Accent, ring, radius+1
	r.Hide()
	return r
}

// ink is the colour of a control's text.
func (c *control) ink(on color.Color) color.Color {
	if c.off {
		return Off
	}
	return on
}

// A face draws a widget. All state is the widget's: draw puts it onto the
// objects, at the size given.
type face struct {
	of      fyne.Widget
	objects []fyne.CanvasObject
	min     func() fyne.Size
	draw    func(size fyne.Size)
	drawn   bool
}

func (f *face) Layout(size fyne.Size) { f.show(size) }
func (f *face) MinSize() fyne.Size    { return f.min() }
func (f *face) Destroy()              {}

// Objects draws a face that was never laid out: Fyne throws the face of a widget
// away that was hidden for a minute, and lays out the new one only once the
// widget's size changes.
func (f *face) Objects() []fyne.CanvasObject {
	if size := f.of.Size(); !f.drawn && !size.IsZero() {
		f.show(size)
	}
	return f.objects
}

func (f *face) show(size fyne.Size) {
	f.drawn = true
	f.draw(size)
}

func (f *face) Refresh() {
	f.show(f.of.Size())
	canvas.Refresh(f.of)
}
