package ui

import (
	"slices"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/view"
)

// trialStands reports whether the view of the trial is offered: while something
// grades, or is about to.
func (w *window) trialStands() bool {
	b := w.bench
	s := b.study()
	if s == nil {
		return false
	}
	if b.step == stepTrial || b.view == view.Trial || b.compare && b.other == view.Trial {
		return true
	}
	for i := range s.Mattes {
		if s.Mattes[i].Trial.At(b.frame).Grades() {
			return true
		}
	}
	return false
}

// hiddenMattes are the ids of the mattes that are not shown, in order.
func (w *window) hiddenMattes() []int {
	var all []int
	for id, hidden := range w.hidden {
		if hidden {
			all = append(all, id)
		}
	}
	slices.Sort(all)
	return all
}

// withoutTrial is what a view shows while the trial is taken away.
func withoutTrial(v view.View) view.View {
	if v == view.Trial {
		return view.Frame
	}
	return v
}

// withoutKey, as long as it is held, shows the frame without the trial.
const withoutKey = fyne.KeyT

// listenHeld hears keys that do something as long as they are held. A release
// may be lost with the keyboard: any other key and the window's leaving the
// foreground end it too.
func (w *window) listenHeld() {
	c, ok := w.win.Canvas().(desktop.Canvas)
	if !ok {
		return
	}
	c.SetOnKeyDown(w.keyDown)
	c.SetOnKeyUp(w.keyUp)
	w.app.Lifecycle().SetOnExitedForeground(func() { w.holdWithout(false) })
}

func (w *window) keyDown(e *fyne.KeyEvent) {
	w.holdWithout(e.Name == withoutKey && w.win.Canvas().Overlays().Top() == nil && !w.anyModifier())
}

func (w *window) keyUp(e *fyne.KeyEvent) {
	if e.Name == withoutKey {
		w.holdWithout(false)
	}
}

func (w *window) anyModifier() bool {
	d, ok := fyne.CurrentApp().Driver().(desktop.Driver)
	return ok && d.CurrentKeyModifiers() != 0
}

// holdWithout takes the trial away from its view, or puts it back.
func (w *window) holdWithout(on bool) {
	if on != w.bench.without {
		w.bench.moved = time.Now()
		w.bench.set(func() { w.bench.without = on })
	}
}
