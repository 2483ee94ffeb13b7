package stage

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"halocline/app/ui/look"
)

// A Hand moves a mouse and presses keys as a real window's driver would hand
// them on.
type Hand struct {
	Stage    *Stage
	canvas   fyne.Canvas
	shortcut func(fyne.KeyName, fyne.KeyModifier) bool
	at       fyne.Position

	down     desktop.MouseButton
	pressed  fyne.CanvasObject // got the press
	dragged  fyne.Draggable
	dragFrom fyne.Position // of the press, or the last move
	offset   fyne.Position // of what is dragged
	over     desktop.Hoverable
}

// NewHand makes a hand for what a canvas shows. shortcut is a menu's: it hears of keys
// with Ctrl first, and reports whether it has a use for one.
func NewHand(c fyne.Canvas, s *Stage, shortcut func(fyne.KeyName, fyne.KeyModifier) bool) *Hand {
	return &Hand{Stage: s, canvas: c, shortcut: shortcut}
}

// Visit walks what can be seen and is not clipped away, in the order in which it
// is drawn; what lies over the window hides it.
func Visit(c fyne.Canvas, each func(o fyne.CanvasObject, at fyne.Position, shown bool)) {
	root := c.Overlays().Top()
	if root == nil {
		root = c.Content()
	}
	var walk func(o fyne.CanvasObject, from, low, high fyne.Position)
	walk = func(o fyne.CanvasObject, from, low, high fyne.Position) {
		if o == nil || !o.Visible() {
			return
		}
		at := from.Add(o.Position())
		size := o.Size()
		if _, clips := o.(fyne.Scrollable); clips {
			low = fyne.NewPos(max(low.X, at.X), max(low.Y, at.Y))
			high = fyne.NewPos(min(high.X, at.X+size.Width), min(high.Y, at.Y+size.Height))
		}
		each(o, at, at.X+size.Width/2 >= low.X && at.Y+size.Height/2 >= low.Y && at.X+size.Width/2 < high.X && at.Y+size.Height/2 < high.Y)
		var children []fyne.CanvasObject
		switch o := o.(type) {
		case *fyne.Container:
			children = o.Objects
		case fyne.Widget:
			children = test.WidgetRenderer(o).Objects()
		}
		for _, child := range children {
			walk(child, at, low, high)
		}
	}
	walk(root, fyne.Position{}, fyne.Position{}, fyne.NewPos(c.Size().Width, c.Size().Height))
}

// under is the topmost thing at a place that is like that, and where in it.
func (h *Hand) under(at fyne.Position, like func(fyne.CanvasObject) bool) (found fyne.CanvasObject, in fyne.Position) {
	Visit(h.canvas, func(o fyne.CanvasObject, from fyne.Position, _ bool) {
		d := at.Subtract(from)
		if like(o) && d.X >= 0 && d.Y >= 0 && d.X < o.Size().Width && d.Y < o.Size().Height {
			found, in = o, d
		}
	})
	return found, in
}

// Is reports whether an object is of a type.
func Is[T any](o fyne.CanvasObject) bool { _, ok := o.(T); return ok }

// Press puts a button down.
func (h *Hand) Press(b desktop.MouseButton) {
	o, in := h.click(b, true)
	h.down, h.dragFrom = b, h.at
	h.pressed = nil
	if Is[fyne.Tappable](o) || Is[fyne.SecondaryTappable](o) || Is[fyne.DoubleTappable](o) {
		h.pressed = o
	}
	_ = in
	h.Stage.Play()
}

// click hands on a button's going down or up.
func (h *Hand) click(b desktop.MouseButton, down bool) (fyne.CanvasObject, fyne.Position) {
	o, in := h.under(h.at, func(o fyne.CanvasObject) bool {
		return Is[fyne.Tappable](o) || Is[fyne.SecondaryTappable](o) || Is[fyne.DoubleTappable](o) || Is[fyne.Focusable](o) || Is[desktop.Mouseable](o)
	})
	e := &desktop.MouseEvent{Button: b, Modifier: h.Stage.Mods, PointEvent: fyne.PointEvent{Position: in, AbsolutePosition: h.at}}
	if m, ok := o.(desktop.Mouseable); ok {
		switch target, drags := h.dragged.(desktop.Mouseable); {
		case down:
			m.MouseDown(e)
		case drags:
			e.Position = h.at.Subtract(h.offset)
			target.MouseUp(e)
		default:
			m.MouseUp(e)
		}
	}
	if f, ok := o.(fyne.Focusable); !ok || f != h.canvas.Focused() {
		if at, _ := h.under(h.at, Is[fyne.Focusable]); at == nil {
			h.canvas.Unfocus()
		}
	}
	return o, in
}

// Release lets the button go. twice: it is the second of two quick clicks.
func (h *Hand) Release(twice bool) {
	b, drags := h.down, h.dragged != nil
	o, in := h.click(b, false)
	h.down = 0
	if drags {
		h.dragged.DragEnd()
		h.dragged = nil
	}
	e := &fyne.PointEvent{Position: in, AbsolutePosition: h.at}
	if s, ok := o.(fyne.SecondaryTappable); ok && o == h.pressed && b == desktop.MouseButtonSecondary {
		s.TappedSecondary(e)
	}
	if b == desktop.MouseButtonPrimary && !drags && o == h.pressed && o != nil {
		if d, ok := o.(fyne.DoubleTappable); ok && twice {
			d.DoubleTapped(e)
		} else if t, ok := o.(fyne.Tappable); ok {
			t.Tapped(e)
		}
	}
	h.pressed = nil
	h.Stage.Play()
}

// Move takes the mouse to a place.
func (h *Hand) Move(to fyne.Position) {
	before := h.at
	h.at = to
	if (h.down == desktop.MouseButtonPrimary || h.down == desktop.MouseButtonTertiary) && h.dragged == nil {
		far := max(abs(to.X-h.dragFrom.X), abs(to.Y-h.dragFrom.Y)) >= 2
		if o, in := h.under(before, Is[fyne.Draggable]); o != nil && far {
			h.dragged, h.offset = o.(fyne.Draggable), before.Subtract(in)
		}
	}
	o, in := h.under(to, Is[desktop.Hoverable])
	over, _ := o.(desktop.Hoverable)
	e := &desktop.MouseEvent{Button: h.down, PointEvent: fyne.PointEvent{Position: in, AbsolutePosition: to}}
	switch {
	case over != nil && any(over) == any(h.dragged):
	case over != nil && over == h.over:
		over.MouseMoved(e)
	default:
		if h.over != nil && any(h.over) != any(h.dragged) {
			h.over.MouseOut()
		}
		if h.over = over; over != nil {
			over.MouseIn(e)
		}
	}
	if h.dragged != nil {
		d := &fyne.DragEvent{PointEvent: fyne.PointEvent{Position: to.Subtract(h.offset), AbsolutePosition: to}}
		d.Dragged = fyne.NewDelta(to.X-h.dragFrom.X, to.Y-h.dragFrom.Y)
		h.dragged.Dragged(d)
		h.dragFrom = to
	}
	h.Stage.Play()
}

func abs(v float32) float32 { return max(v, -v) }

// Tap clicks at a place.
func (h *Hand) Tap(at fyne.Position, b desktop.MouseButton) {
	h.Move(at)
	h.Press(b)
	h.Release(false)
}

// TapTwice clicks twice in quick succession.
func (h *Hand) TapTwice(at fyne.Position) {
	h.Tap(at, desktop.MouseButtonPrimary)
	h.Press(desktop.MouseButtonPrimary)
	h.Release(true)
}

// Drag presses at a place, goes through others and lets go.
func (h *Hand) Drag(b desktop.MouseButton, from fyne.Position, through ...fyne.Position) {
	h.Move(from)
	h.Press(b)
	for _, p := range through {
		h.Move(p)
	}
	h.Release(false)
}

// Wheel turns the wheel by notches where the mouse is.
func (h *Hand) Wheel(notches float32) {
	if o, in := h.under(h.at, Is[fyne.Scrollable]); o != nil {
		e := &fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, 25*notches), PointEvent: fyne.PointEvent{Position: in, AbsolutePosition: h.at}}
		o.(fyne.Scrollable).Scrolled(e)
	}
	h.Stage.Play()
}

// Key types a key with modifiers held: menus hear of it first, then what has the
// keyboard, then the window.
func (h *Hand) Key(name fyne.KeyName, mods fyne.KeyModifier) {
	h.Stage.Mods = mods
	defer func() { h.Stage.Mods = 0 }()
	h.handOn(name, mods)
	h.Stage.Play()
}

func (h *Hand) handOn(name fyne.KeyName, mods fyne.KeyModifier) {
	c := h.canvas
	if name == fyne.KeyTab && mods&^fyne.KeyModifierShift == 0 {
		if t, ok := c.Focused().(fyne.Tabbable); !ok || !t.AcceptsTab() {
			if mods == 0 {
				c.FocusNext()
			} else {
				c.FocusPrevious()
			}
			return
		}
	}
	if mods&fyne.KeyModifierControl != 0 {
		if h.shortcut(name, mods) {
			return
		}
		if s, ok := c.Focused().(fyne.Shortcutable); ok {
			s.TypedShortcut(&desktop.CustomShortcut{KeyName: name, Modifier: mods})
		}
		return
	}
	if f := c.Focused(); f != nil {
		f.TypedKey(&fyne.KeyEvent{Name: name})
	} else {
		c.OnTypedKey()(&fyne.KeyEvent{Name: name})
	}
}

// Write types letters into what has the keyboard.
func (h *Hand) Write(text string) {
	for _, r := range text {
		if f := h.canvas.Focused(); f != nil {
			f.TypedRune(r)
		}
	}
	h.Stage.Play()
}

// Middle is the middle of something that can be seen.
func (h *Hand) Middle(t testing.TB, o fyne.CanvasObject) (at fyne.Position) {
	t.Helper()
	found := false
	Visit(h.canvas, func(c fyne.CanvasObject, from fyne.Position, shown bool) {
		if c == o && shown {
			at, found = from.AddXY(c.Size().Width/2, c.Size().Height/2), true
		}
	})
	require.True(t, found, "%T cannot be seen", o)
	return at
}

// PressOn clicks on something that can be seen.
func (h *Hand) PressOn(t testing.TB, o fyne.CanvasObject) {
	t.Helper()
	h.Tap(h.Middle(t, o), desktop.MouseButtonPrimary)
}

// Button is the button of a label that can be seen.
func (h *Hand) Button(t testing.TB, label string) (found *look.Button) {
	t.Helper()
	Visit(h.canvas, func(o fyne.CanvasObject, _ fyne.Position, shown bool) {
		if b, ok := o.(*look.Button); ok && shown && strings.HasPrefix(b.Label(), label) {
			found = b
		}
	})
	require.NotNil(t, found, "no button %q", label)
	return found
}
