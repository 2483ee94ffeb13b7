package field

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/study"
	"halocline/selection"
)

// keys is the line that arrows move. The Field is one stop of Tab: Enter goes
// in, to the lines, and Esc out.
type keys struct {
	inside  bool
	channel selection.Channel
	end     end
}

// lines returns the lines that keys can reach, in order: all of the channels that
// are on.
func lines(p selection.Pick) (all []keys) {
	for c := range selection.Channels {
		for e := fadeBefore; e <= fadeAfter && !p.Limits[c].Off; e++ {
			all = append(all, keys{true, c, e})
		}
	}
	return all
}

// FocusGained is part of fyne.Focusable.
func (f *Field) FocusGained() {
	f.focused = true
	f.redraw()
}

// FocusLost is part of fyne.Focusable. A drag that the focus leaves is decided by
// its end.
func (f *Field) FocusLost() {
	f.focused, f.keys.inside = false, false
	f.redraw()
}

// AcceptsTab is part of fyne.Tabbable: inside, Tab goes from line to line.
func (f *Field) AcceptsTab() bool { return f.keys.inside }

// TypedRune hands letters and digits on to the window.
func (f *Field) TypedRune(r rune) { handRuneOn(f, r) }

// handRuneOn hands a letter on to the window of a control.
func handRuneOn(o fyne.CanvasObject, r rune) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil && c.OnTypedRune() != nil {
		c.OnTypedRune()(r)
	}
}

// TypedKey goes in and out, from line to line, and moves the chosen one. Other
// keys are the window's.
func (f *Field) TypedKey(e *fyne.KeyEvent) {
	mods := modifiers()
	switch e.Name {
	case fyne.KeyEscape:
		if !f.escape() {
			f.handOn(e)
		}
	case fyne.KeyReturn, fyne.KeyEnter:
		f.enter()
	case fyne.KeyTab:
		if mods&fyne.KeyModifierShift != 0 {
			f.next(-1)
		} else {
			f.next(1)
		}
	default:
		if !f.arrow(e.Name, mods) {
			f.handOn(e)
		}
	}
}

func (f *Field) handOn(e *fyne.KeyEvent) { handKeyOn(f, e) }

// handKeyOn hands a key on to the window of a control.
func handKeyOn(o fyne.CanvasObject, e *fyne.KeyEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil && c.OnTypedKey() != nil {
		c.OnTypedKey()(e)
	}
}

// TypedShortcut takes Ctrl with an arrow; all others are the window's.
func (f *Field) TypedShortcut(s fyne.Shortcut) {
	if c, ok := s.(*desktop.CustomShortcut); ok && f.arrow(c.KeyName, c.Modifier) {
		return
	}
	handShortcutOn(f, s)
}

// handShortcutOn hands a shortcut on to the window of a control.
func handShortcutOn(o fyne.CanvasObject, s fyne.Shortcut) {
	window, ok := fyne.CurrentApp().Driver().CanvasForObject(o).(fyne.Shortcutable)
	if ok {
		window.TypedShortcut(s)
	}
}

// modifiers returns the keys held now, where the driver knows.
func modifiers() fyne.KeyModifier {
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok {
		return d.CurrentKeyModifiers()
	}
	return 0
}

// escape gives a drag up, or goes out of the lines; false: neither was the case.
func (f *Field) escape() bool {
	switch {
	case f.pull != nil:
		f.cancel()
	case f.keys.inside:
		f.keys.inside = false
		f.redraw()
	default:
		return false
	}
	return true
}

// enter chooses the line that was chosen before, or the first.
func (f *Field) enter() {
	all := lines(f.pick)
	if len(all) == 0 || !f.known {
		return
	}
	was := f.keys
	was.inside = true
	f.keys = all[0]
	for _, k := range all {
		if k == was {
			f.keys = k
		}
	}
	f.redraw()
}

// next chooses another line; past the last and before the first the focus leaves.
func (f *Field) next(by int) {
	all := lines(f.pick)
	at := -1
	for i, k := range all {
		if k == f.keys {
			at = i
		}
	}
	if at+by >= 0 && at+by < len(all) && at >= 0 {
		f.keys = all[at+by]
		f.redraw()
		return
	}
	f.keys.inside = false
	c := fyne.CurrentApp().Driver().CanvasForObject(f)
	switch {
	case c == nil:
	case by > 0:
		c.FocusNext()
	default:
		c.FocusPrevious()
	}
}

// arrow moves the chosen line, and reports whether the key is an arrow.
func (f *Field) arrow(name fyne.KeyName, mods fyne.KeyModifier) bool {
	direction := directionOf(name)
	if direction == 0 {
		return false
	}
	if f.pull != nil {
		return true
	}
	if !f.keys.inside {
		f.enter()
		return true
	}
	by := byModifiers(direction*keyIncrement(f.pick.Model, f.keys.channel), mods)
	if p := movedLine(f.pick, f.keys.channel, f.keys.end, by); p != f.pick {
		f.pick = p
		f.redraw()
		f.edited(p, study.Done)
	}
	return true
}

// directionOf returns the direction of an arrow, 1 upward and to the right; 0 for any other
// key.
func directionOf(name fyne.KeyName) float64 {
	switch name {
	case fyne.KeyLeft, fyne.KeyDown:
		return -1
	case fyne.KeyRight, fyne.KeyUp:
		return 1
	}
	return 0
}

// byModifiers returns how far an arrow goes: a tenth with Ctrl, ten times as far with Shift.
func byModifiers(by float64, mods fyne.KeyModifier) float64 {
	switch {
	case mods&fyne.KeyModifierControl != 0:
		return by / 10
	case mods&fyne.KeyModifierShift != 0:
		return by * 10
	}
	return by
}
