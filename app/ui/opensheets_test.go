package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/proof"
	"halocline/app/study"
	"halocline/app/ui/proofs"
	"halocline/app/ui/stage"
)

// cell is the proof of a name that can be seen.
func (h *hand) cell(t testing.TB, name string) (found *proofs.Cell) {
	t.Helper()
	stage.Visit(h.w.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, shown bool) {
		if c, ok := o.(*proofs.Cell); ok && shown && c.Name() == name {
			found = c
		}
	})
	require.NotNil(t, found, "no proof %q", name)
	return found
}

// The row of mattes keeps a proof and counts it; its sheet is opened by a key or a
// button, hears keys after a press elsewhere, and gives the settings back.
func TestProofsAreOpenedFromTheWindow(t *testing.T) {
	w, h := newDiscWindow(t)
	h.PressOn(t, w.mattes.keep)
	assert.Equal(t, "Keep as proof", labels(w)[0])
	assert.Equal(t, "Proofs 1", w.mattes.proof.Label())
	was := w.desk.Matte().Settings.Clone()
	fyne.DoAndWait(func() {
		w.desk.EditMatte("Soften", func(m *study.Matte) error {
			m.Edge.Soften = study.Constant(9)
			return nil
		})
	})
	h.PressOn(t, w.mattes.proof)
	require.True(t, w.sheets.IsOpen())
	h.Key(fyne.KeyEscape, 0)
	require.False(t, w.sheets.IsOpen())
	assert.Equal(t, fyne.Focusable(w.viewer), w.win.Canvas().Focused())

	h.Key(fyne.KeyP, ctrl)
	h.PressOn(t, h.cell(t, proof.AsItIs))
	fyne.DoAndWait(w.win.Canvas().Unfocus)
	h.Key(fyne.KeyRight, 0)
	h.Key(fyne.KeyReturn, 0)
	require.False(t, w.sheets.IsOpen())
	assert.Equal(t, "Use proof 1", labels(w)[0])
	assert.Equal(t, was, w.desk.Matte().Settings)
	fyne.DoAndWait(w.undo)
	assert.NotEqual(t, was, w.desk.Matte().Settings)
}
