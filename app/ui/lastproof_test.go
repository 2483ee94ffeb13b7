package ui

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
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

// said is what Judge says: its words and figures, parted by spaces.
func said(w *window) string {
	var all []string
	from := fyne.CurrentApp().Driver().AbsolutePositionForObject(w.judge.Object())
	size := w.judge.Object().Size()
	stage.Visit(w.win.Canvas(), func(o fyne.CanvasObject, at fyne.Position, _ bool) {
		if at.X < from.X || at.Y < from.Y || at.X > from.X+size.Width || at.Y > from.Y+size.Height {
			return
		}
		switch o := o.(type) {
		case *look.Label:
			all = append(all, o.Text())
		case *look.Paragraph:
			all = append(all, o.Text())
		case *look.Button:
			all = append(all, o.Label())
		}
	})
	return strings.Join(all, " ")
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
	require.NotContains(t, said(w), "the last proof")
	h.PressOn(t, w.mattes.keep)
	require.Contains(t, said(w), "Against ‘proof 1’, the last proof")
	stage.Eventually(t, "a review", func() bool { return w.desk.Reviewed.Proof != nil })
	assert.Contains(t, said(w), "Nothing has changed since it was kept.")
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
	assert.Contains(t, said(w), "Worse: specks ")
	assert.Contains(t, said(w), "Against ‘proof 1’")
	for i := range desk.IdleEdits {
		soften(0.01 * float64(i+1))
	}
	stage.Eventually(t, "the last", func() bool { return w.desk.Reviewed.Study == w.desk.Study() })
	assert.Contains(t, said(w), fmt.Sprintf("%d changes gained nothing since ‘proof 1’", desk.IdleEdits+1))
}
