package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"

	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/mask"
)

// Where masks alone make a matte, Judge speaks of them and not of dabs, and the key that it
// names goes to the edge.
func TestJudgeSpeaksOfMasksAlone(t *testing.T) {
	w, h := newDiscWindow(t)
	fyne.DoAndWait(func() {
		assert.Contains(t, said(w), "tested on dabs it was not fitted to")
		w.desk.RemoveDabs()
		w.desk.AddMask(study.Keep, []mask.Point{{X: 155, Y: 50}, {X: 330, Y: 50}, {X: 330, Y: 220}, {X: 155, Y: 220}})
		w.desk.MaskAlone()
	})
	stage.Eventually(t, "the edge", func() bool {
		_, ok := w.desk.OutlineOf(w.desk.MaskID)
		return ok && w.desk.Fresh()
	})
	fyne.DoAndWait(func() {
		assert.Contains(t, said(w), "Masks alone make it, led to the edge")
		assert.Contains(t, said(w), "Press N: the edge at its worst places.")
		assert.NotContains(t, said(w), "Separation")
		assert.NotContains(t, said(w), "dabs")
		w.viewer.Fit()
		fitted := w.viewer.Viewport().Zoom
		h.Key(fyne.KeyN, 0)
		assert.Greater(t, w.viewer.Viewport().Zoom, fitted)
	})
}
