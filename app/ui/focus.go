package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

// leaveHidden takes the keyboard from a control that can no longer be seen: it
// would still hear keys.
func (w *window) leaveHidden() {
	c := w.win.Canvas()
	o, ok := c.Focused().(fyne.CanvasObject)
	if !ok || o == fyne.CanvasObject(w.viewer) {
		return
	}
	d := fyne.CurrentApp().Driver()
	nowhere := d.AbsolutePositionForObject(canvas.NewRectangle(color.Transparent)) // as of all that is not seen
	if d.AbsolutePositionForObject(o) == nowhere {
		c.Focus(w.viewer)
	}
}
