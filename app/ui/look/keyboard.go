package look

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// Focus gives a widget the keyboard.
func Focus(w fyne.Focusable) {
	if o, ok := w.(fyne.CanvasObject); ok {
		if c := canvasOf(o); c != nil {
			c.Focus(w)
		}
	}
}

// PassKey hands a key that a focused widget has no use for to the window.
func PassKey(o fyne.CanvasObject, e *fyne.KeyEvent) {
	if c := canvasOf(o); c != nil && c.OnTypedKey() != nil {
		c.OnTypedKey()(e)
	}
}

// passHeldKey tells the window that a key goes down or up, as heard says.
func passHeldKey(o fyne.CanvasObject, e *fyne.KeyEvent, heard func(desktop.Canvas) func(*fyne.KeyEvent)) {
	if c, ok := canvasOf(o).(desktop.Canvas); ok && heard(c) != nil {
		heard(c)(e)
	}
}
