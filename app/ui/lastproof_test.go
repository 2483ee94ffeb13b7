package ui

import (
	"fmt"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/stage"
)

// newDiscWindow is a window on discs, with a matte of them, and a hand for it.
func newDiscWindow(t testing.TB) (*window, *hand) {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	w := newTestWindowOn(t, stage.Discs(t, 1))
	fyne.DoAndWait(func() {
		w.desk.Edit("Matte", func(s *study.Study, _ *study.Matte) error {
			w.desk.MatteID = stage.AddDisc(s).ID
			return nil
		})
	})
	stage.Eventually(t, "the figures", w.desk.Fresh)
	return w, newHand(w)
}

// In a high window Judge tells what changed since the last proof, and after ten edits
// that gained nothing says so.
func TestJudgeTellsAgainstTheLastProof(t *testing.T) {
	w, h := newDiscWindow(t)
	fyne.DoAndWait(func() {
		w.win.Resize(fyne.NewSize(1920, 1080))
		w.desk.EditMatte("Soften", func(m *study.Matte) error {
			m.Edge.Soften = study.Constant(3)
			return nil
		})
	})
	card := w.judge.proof
	require.False(t, card.all.Visible())
	h.PressOn(t, w.mattes.keep)
	require.True(t, card.all.Visible())
	stage.Eventually(t, "a review", func() bool { return w.desk.Reviewed.Proof != nil })
	assert.Equal(t, "Nothing has changed since it was kept.", card.lines[0].Text())
	soften := func(v float64) {
		fyne.DoAndWait(func() {
			w.desk.EditMatte("Soften", func(m *study.Matte) error {
				m.Edge.Soften = study.Constant(v)
				return nil
			})
		})
	}
	soften(0)
	stage.Eventually(t, "another", func() bool { return w.desk.Reviewed.Study == w.desk.Study() })
	assert.Contains(t, card.lines[1].Text(), "Worse: specks ")
	assert.Contains(t, card.title.Text(), "Against ‘proof 1’")
	for i := range desk.IdleEdits {
		soften(0.01 * float64(i+1))
	}
	stage.Eventually(t, "the last", func() bool { return w.desk.Reviewed.Study == w.desk.Study() })
	assert.Equal(t, fmt.Sprintf("%d changes gained nothing since ‘proof 1’", desk.IdleEdits+1), card.title.Text())
}
