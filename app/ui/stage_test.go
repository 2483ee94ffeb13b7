package ui

import (
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
)

// A stage is Fyne's test driver made more like a real one: what the background
// hands to fyne.Do waits for the test's goroutine, and modifiers can be held.
type stage struct {
	fyne.Driver
	mods fyne.KeyModifier

	mu      sync.Mutex
	waiting []func()
}

var _ desktop.Driver = (*stage)(nil)

// DoFromGoroutine keeps f for play. What is to be waited for is done at once,
// after all that waits: the tests alone ask for that, on their own goroutine.
func (s *stage) DoFromGoroutine(f func(), wait bool) {
	if wait {
		s.play()
		f()
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.waiting = append(s.waiting, f)
}

// play does what waits, and what that asks for in turn.
func (s *stage) play() {
	for {
		s.mu.Lock()
		all := s.waiting
		s.waiting = nil
		s.mu.Unlock()
		if len(all) == 0 {
			return
		}
		for _, f := range all {
			f()
		}
	}
}

func (s *stage) CreateSplashWindow() fyne.Window       { return s.CreateWindow("") }
func (s *stage) CurrentKeyModifiers() fyne.KeyModifier { return s.mods }

// A stagedApp is Fyne's test app on a stage.
type stagedApp struct {
	fyne.App
	stage *stage
}

func (a *stagedApp) Driver() fyne.Driver { return a.stage }

// newStagedApp makes a staged app the current one. It stays so after the test:
// what comes late, as hints do, waits for ever and disturbs no other test.
func newStagedApp(t testing.TB) *stagedApp {
	t.Helper()
	a := new(stagedApp)
	t.Cleanup(func() { fyne.SetCurrentApp(a) }) // after NewTempApp's own
	under := test.NewTempApp(t)
	a.App, a.stage = under, &stage{Driver: under.Driver()}
	fyne.SetCurrentApp(a)
	return a
}

// stageOf is the stage that a test's window stands on.
func stageOf(w *window) *stage { return w.app.(*stagedApp).stage }

// ours are the stacks of goroutines of this program, the test's own left out.
func ours() (stacks []string) {
	buf := make([]byte, 1<<20)
	for _, s := range strings.Split(string(buf[:runtime.Stack(buf, true)]), "\n\n") {
		if strings.Contains(s, "halocline/") && !strings.Contains(s, "testing.tRunner") && !strings.Contains(s, "testing.runTests") {
			stacks = append(stacks, s)
		}
	}
	return stacks
}

// awaitNobody waits until no goroutine of this program is left, and returns
// those that are still there in the end.
func awaitNobody(s *stage) []string {
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		s.play()
		if len(ours()) == 0 {
			return nil
		}
	}
	return ours()
}

// A hand moves a mouse and presses keys as a real window's driver would hand
// them on.
type hand struct {
	w     *window
	stage *stage
	at    fyne.Position

	down     desktop.MouseButton
	pressed  fyne.CanvasObject // got the press
	dragged  fyne.Draggable
	dragFrom fyne.Position // of the press, or the last move
	offset   fyne.Position // of what is dragged
	over     desktop.Hoverable
}

func newHand(w *window) *hand { return &hand{w: w, stage: stageOf(w)} }

// visit walks what can be seen and is not clipped away, in the order in which it
// is drawn; what lies over the window hides it.
func visit(c fyne.Canvas, each func(o fyne.CanvasObject, at fyne.Position, shown bool)) {
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
func (h *hand) under(at fyne.Position, like func(fyne.CanvasObject) bool) (found fyne.CanvasObject, in fyne.Position) {
	visit(h.w.win.Canvas(), func(o fyne.CanvasObject, from fyne.Position, _ bool) {
		d := at.Subtract(from)
		if like(o) && d.X >= 0 && d.Y >= 0 && d.X < o.Size().Width && d.Y < o.Size().Height {
			found, in = o, d
		}
	})
	return found, in
}

func is[T any](o fyne.CanvasObject) bool { _, ok := o.(T); return ok }

// press puts a button down.
func (h *hand) press(b desktop.MouseButton) {
	o, in := h.click(b, true)
	h.down, h.dragFrom = b, h.at
	h.pressed = nil
	if is[fyne.Tappable](o) || is[fyne.SecondaryTappable](o) || is[fyne.DoubleTappable](o) {
		h.pressed = o
	}
	_ = in
	h.stage.play()
}

// click hands on a button's going down or up.
func (h *hand) click(b desktop.MouseButton, down bool) (fyne.CanvasObject, fyne.Position) {
	o, in := h.under(h.at, func(o fyne.CanvasObject) bool {
		return is[fyne.Tappable](o) || is[fyne.SecondaryTappable](o) || is[fyne.DoubleTappable](o) || is[fyne.Focusable](o) || is[desktop.Mouseable](o)
	})
	e := &desktop.MouseEvent{Button: b, Modifier: h.stage.mods, PointEvent: fyne.PointEvent{Position: in, AbsolutePosition: h.at}}
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
	if f, ok := o.(fyne.Focusable); !ok || f != h.w.win.Canvas().Focused() {
		if at, _ := h.under(h.at, is[fyne.Focusable]); at == nil {
			h.w.win.Canvas().Unfocus()
		}
	}
	return o, in
}

// release lets the button go. twice: it is the second of two quick clicks.
func (h *hand) release(twice bool) {
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
	h.stage.play()
}

// move takes the mouse to a place.
func (h *hand) move(to fyne.Position) {
	before := h.at
	h.at = to
	if (h.down == desktop.MouseButtonPrimary || h.down == desktop.MouseButtonTertiary) && h.dragged == nil {
		far := max(abs(to.X-h.dragFrom.X), abs(to.Y-h.dragFrom.Y)) >= 2
		if o, in := h.under(before, is[fyne.Draggable]); o != nil && far {
			h.dragged, h.offset = o.(fyne.Draggable), before.Subtract(in)
		}
	}
	o, in := h.under(to, is[desktop.Hoverable])
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
	h.stage.play()
}

func abs(v float32) float32 { return max(v, -v) }

// tap clicks at a place.
func (h *hand) tap(at fyne.Position, b desktop.MouseButton) {
	h.move(at)
	h.press(b)
	h.release(false)
}

// tapTwice clicks twice in quick succession.
func (h *hand) tapTwice(at fyne.Position) {
	h.tap(at, desktop.MouseButtonPrimary)
	h.press(desktop.MouseButtonPrimary)
	h.release(true)
}

// drag presses at a place, goes through others and lets go.
func (h *hand) drag(b desktop.MouseButton, from fyne.Position, through ...fyne.Position) {
	h.move(from)
	h.press(b)
	for _, p := range through {
		h.move(p)
	}
	h.release(false)
}

// wheel turns the wheel by notches where the mouse is.
func (h *hand) wheel(notches float32) {
	if o, in := h.under(h.at, is[fyne.Scrollable]); o != nil {
		e := &fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, 25*notches), PointEvent: fyne.PointEvent{Position: in, AbsolutePosition: h.at}}
		o.(fyne.Scrollable).Scrolled(e)
	}
	h.stage.play()
}

// key types a key with modifiers held: menus hear of it first, then what has the
// keyboard, then the window.
func (h *hand) key(name fyne.KeyName, mods fyne.KeyModifier) {
	h.stage.mods = mods
	defer func() { h.stage.mods = 0 }()
	h.hand(name, mods)
	h.stage.play()
}

func (h *hand) hand(name fyne.KeyName, mods fyne.KeyModifier) {
	c := h.w.win.Canvas()
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
		for _, a := range h.w.actions {
			if a.key == name && a.mods == mods {
				h.w.try(a)
				return
			}
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

// write types letters into what has the keyboard.
func (h *hand) write(text string) {
	for _, r := range text {
		if f := h.w.win.Canvas().Focused(); f != nil {
			f.TypedRune(r)
		}
	}
	h.stage.play()
}
