package timeline

import (
	"slices"

	"halocline/app/study"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// pageFrames is how many frames an arrow goes with Shift.
const pageFrames = 10

// FocusGained is part of fyne.Focusable.
func (a *Area) FocusGained() {
	a.focused = true
	a.redraw()
}

// FocusLost is part of fyne.Focusable. A drag that the focus leaves is decided by
// its end.
func (a *Area) FocusLost() {
	a.focused, a.byPress = false, false
	a.redraw()
}

// TypedRune hands letters and digits on to the window.
func (a *Area) TypedRune(r rune) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(a); c != nil && c.OnTypedRune() != nil {
		c.OnTypedRune()(r)
	}
}

// TypedKey goes through the clip and its keys. Other keys are the window's.
func (a *Area) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyEscape && a.cancel() {
		return
	}
	if a.pull == nil && a.typed(e.Name, modifiers()) {
		if a.byPress {
			a.byPress = false
			a.redraw()
		}
		return
	}
	if c := fyne.CurrentApp().Driver().CanvasForObject(a); c != nil && c.OnTypedKey() != nil {
		c.OnTypedKey()(e)
	}
}

// typed does what a key asks for, and reports whether it has a meaning here.
func (a *Area) typed(name fyne.KeyName, mods fyne.KeyModifier) bool {
	by := 1
	if mods&fyne.KeyModifierShift != 0 {
		by = pageFrames
	}
	switch name {
	case fyne.KeyLeft:
		a.goTo(a.clip.beside(a.frame, -by))
	case fyne.KeyRight:
		a.goTo(a.clip.beside(a.frame, by))
	case fyne.KeyHome:
		a.goTo(a.clip.first())
	case fyne.KeyEnd:
		a.goTo(a.clip.last())
	case fyne.KeyPageUp, fyne.KeyPageDown:
		if by != 1 {
			return false
		}
		a.GoToKey(map[fyne.KeyName]int{fyne.KeyPageUp: -1, fyne.KeyPageDown: 1}[name])
	case fyne.KeyUp:
		a.chooseBeside(-1)
	case fyne.KeyDown:
		a.chooseBeside(1)
	case fyne.KeyDelete, fyne.KeyBackspace:
		return a.deleteKey()
	case fyne.KeyInsert:
		if i := a.chosenLane(); i >= 0 && a.OnKeyAdd != nil {
			a.OnKeyAdd(a.lanes[i].ID, a.frame)
		}
	case fyne.KeyReturn, fyne.KeyEnter:
		tell(a.OnPlay)
	default:
		return false
	}
	return true
}

// TypedShortcut takes Ctrl with an arrow, which moves the key under the playhead,
// and with Shift copies it; all others are the window's.
func (a *Area) TypedShortcut(s fyne.Shortcut) {
	if c, ok := s.(*desktop.CustomShortcut); ok && c.Modifier&fyne.KeyModifierControl != 0 {
		by := map[fyne.KeyName]int{fyne.KeyLeft: -1, fyne.KeyRight: 1}[c.KeyName]
		if by != 0 && a.pushKey(by, c.Modifier&fyne.KeyModifierShift != 0) {
			return
		}
	}
	if window, ok := fyne.CurrentApp().Driver().CanvasForObject(a).(fyne.Shortcutable); ok {
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

func (a *Area) goTo(n int) {
	if n != a.frame {
		a.seek(n, study.Done)
	}
}

// chosenLane is the number of the lane that is chosen; -1 for none.
func (a *Area) chosenLane() int {
	return slices.IndexFunc(a.lanes, func(l Lane) bool { return l.Chosen })
}

// chooseBeside chooses the lane above or below, and brings it into view.
func (a *Area) chooseBeside(by int) {
	if len(a.lanes) == 0 {
		return
	}
	i := max(0, min(len(a.lanes)-1, a.chosenLane()+by))
	p := a.plan()
	top, seen := float64(i)*p.dp(laneHigh), p.lanes.y1-p.lanes.y0
	a.scroll = max(min(p.scroll, top), top+p.dp(laneHigh)-seen)
	a.choose(i)
	a.redrawAll()
}

// GoToKey goes to the next key of the chosen lane, or of any where none is
// chosen; by is 1 or -1. It reports whether there is one.
func (a *Area) GoToKey(by int) bool {
	var frames []int
	i := a.chosenLane()
	for j := range a.lanes {
		for _, k := range a.lanes[j].Keys {
			if i < 0 || i == j {
				frames = append(frames, k.Frame)
			}
		}
	}
	slices.Sort(frames)
	at, there := slices.BinarySearch(frames, a.frame)
	switch {
	case by < 0:
		at--
	case there:
		at = slices.IndexFunc(frames, func(f int) bool { return f > a.frame })
	}
	if at < 0 || at >= len(frames) {
		return false
	}
	if i >= 0 {
		a.key = chosenKey{true, a.lanes[i].ID, frames[at]}
		a.redrawAll()
	}
	a.goTo(a.clip.nearest(float64(frames[at])))
	return true
}

// keyAtHand is the key that was chosen, or the chosen lane's at the playhead.
func (a *Area) keyAtHand() (lane, frame int, ok bool) {
	if a.key.set {
		return a.key.lane, a.key.frame, true
	}
	if i := a.chosenLane(); i >= 0 {
		if _, there := a.lanes[i].key(a.frame); there {
			return a.lanes[i].ID, a.frame, true
		}
	}
	return 0, 0, false
}

func (a *Area) deleteKey() bool {
	lane, frame, ok := a.keyAtHand()
	if ok && a.OnKeyDelete != nil {
		a.OnKeyDelete(lane, frame)
	}
	return ok
}

// pushKey moves or copies the key at hand by frames, and goes along.
func (a *Area) pushKey(by int, copied bool) bool {
	lane, frame, ok := a.keyAtHand()
	if !ok || a.OnKeyMove == nil {
		return false
	}
	to := a.clip.beside(frame, by)
	if to == frame {
		return true
	}
	a.key = chosenKey{true, lane, to}
	a.OnKeyMove(lane, frame, to, copied, study.Done)
	a.goTo(to)
	return true
}
