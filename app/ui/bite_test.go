package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/mask"
	"halocline/selection"
)

// Judge says of a pick that leaves out much of its mask, and offers what can be done: one press
// leaves it to the mask.
func TestJudgeSaysThatThePickBites(t *testing.T) {
	w, h := newDiscWindow(t)
	fyne.DoAndWait(func() {
		w.desk.AddMask(study.Keep, []mask.Point{{X: 192, Y: 85}, {X: 292, Y: 85}, {X: 292, Y: 185}, {X: 192, Y: 185}})
		w.desk.SlideSearch(0, study.Done)
	})
	stage.Eventually(t, "the figures", w.desk.Fresh)
	fyne.DoAndWait(func() {
		assert.NotContains(t, said(w), "leaves out", "all of it is kept")
		w.desk.EditMatte("Lighter", func(m *study.Matte) error {
			m.Pick.Limits[selection.Light].Off = false
			m.Pick.Limits[selection.Light].Fix(selection.Range{From: 0.6, To: 0.9, Before: 0.15})
			return nil
		})
	})
	stage.Eventually(t, "the new figures", w.desk.Fresh)
	fyne.DoAndWait(func() {
		assert.Regexp(t, `The pick leaves out [45]\d % inside its mask`, said(w))
		assert.Contains(t, said(w), "More dabs, or the mask alone.")
		h.Tap(middle(judgeButton(t, w, "Mask alone")), desktop.MouseButtonPrimary)
	})
	stage.Eventually(t, "the figures of the mask alone", w.desk.Fresh)
	fyne.DoAndWait(func() {
		assert.Equal(t, "Mask alone", w.desk.Session.UndoLabels()[0])
		assert.NotContains(t, said(w), "leaves out")
		assert.Greater(t, w.desk.Bite().Kept, 0.99)
	})
}

// judgeButton is a button in Judge.
func judgeButton(t *testing.T, w *window, label string) (found *look.Button) {
	top := fyne.CurrentApp().Driver().AbsolutePositionForObject(w.judge.Object()).Y
	stage.Visit(w.win.Canvas(), func(o fyne.CanvasObject, at fyne.Position, _ bool) {
		if b, ok := o.(*look.Button); ok && b.Visible() && b.Label() == label && at.Y > top {
			found = b
		}
	})
	require.NotNil(t, found)
	return found
}

// middle is where an object's middle is.
func middle(o fyne.CanvasObject) fyne.Position {
	at, size := fyne.CurrentApp().Driver().AbsolutePositionForObject(o), o.Size()
	return at.AddXY(size.Width/2, size.Height/2)
}
