package ui

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/ui/frame"
)

// listenKeys hears keys that do something as long as they are held. A release
// may be lost with the keyboard: any other key and the window's leaving the
// foreground end it too.
func (w *window) listenKeys() {
	c, ok := w.win.Canvas().(desktop.Canvas)
	if !ok {
		return
	}
	c.SetOnKeyDown(w.keyDown)
	c.SetOnKeyUp(w.keyUp)
	w.app.Lifecycle().SetOnExitedForeground(func() { w.bypass(false) })
}

func (w *window) keyDown(e *fyne.KeyEvent) {
	w.bypass(e.Name == frame.BypassKey && w.win.Canvas().Overlays().Top() == nil && !w.anyModifier())
}

func (w *window) keyUp(e *fyne.KeyEvent) {
	if e.Name == frame.BypassKey {
		w.bypass(false)
	}
}

func (w *window) anyModifier() bool {
	d, ok := fyne.CurrentApp().Driver().(desktop.Driver)
	return ok && d.CurrentKeyModifiers() != 0
}

// bypass takes the trial away from its view, or puts it back.
func (w *window) bypass(on bool) {
	if on != w.desk.BypassTrial {
		w.desk.Moved = time.Now()
		w.desk.Set(func() { w.desk.BypassTrial = on })
	}
}
