package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"

	"halocline/app/desk"
	"halocline/app/ui/viewer"
)

// A matte may go while a dab of it is pressed: by a key.
func TestAMatteGoesUnderAPressedDab(t *testing.T) {
	w := newTestWindow(t)
	fyne.DoAndWait(func() {
		tool := w.tools[desk.StepPick].(*dabTool)
		p := viewer.Pointer{X: 400, Y: 300, Button: desktop.MouseButtonPrimary}
		assert.True(t, tool.Press(p))
		for w.desk.Matte() != nil {
			w.desk.DeleteMatte()
		}
		tool.Drag(p)
		tool.Release(p)
	})
	assert.Nil(t, w.desk.Matte())
}
