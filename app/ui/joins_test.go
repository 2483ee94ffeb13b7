package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/mask"
	"halocline/selection"
)

// action is the action of a menu that has a label.
func (w *window) action(t testing.TB, label string) *action {
	t.Helper()
	for _, a := range w.menu.actions {
		if a.label == label {
			return a
		}
	}
	require.Fail(t, "no action "+label)
	return nil
}

// The menu asks which matte is to be taken in, and says on its card that one is not
// exported.
func TestAMatteIsJoinedFromTheMenu(t *testing.T) {
	w, h := newHandWindow(t)
	for len(w.desk.Study().Mattes) > 1 {
		w.desk.DeleteMatte()
	}
	first := w.desk.Matte()
	assert.False(t, w.action(t, "Join another matte…").can(), "there is no other")
	w.desk.NewMatte()
	require.NoError(t, w.desk.RenameMatte("legs"))
	w.menu.try(w.action(t, "Not exported"))
	assert.True(t, w.action(t, "Not exported").checked())
	assert.Equal(t, "not exported", w.mattes.cards[1].word.Text())
	w.desk.Choose(first.ID)
	assert.False(t, w.action(t, "Not exported").checked())
	w.menu.try(w.action(t, "Join another matte…"))
	h.PressOn(t, stage.Find(t, w.win.Canvas(), "legs", func(l *look.Label) bool { return l.Text() == "legs" }))
	assert.Equal(t, []study.Join{{With: w.desk.Study().Mattes[1].ID, How: study.Add}}, w.desk.Matte().Joins)
	w.desk.GoToStep(desk.StepTrial)
	h.Key(fyne.KeyZ, ctrl)
	assert.Equal(t, desk.StepMasks, w.desk.Step, "undo opens the step that it is in")
}

// In the lowest window the masks' controls, with as many masks and joined mattes as lists
// show, have room over Judge.
func TestTheMasksPanelHasRoom(t *testing.T) {
	w := newTestWindowOn(t, stage.Discs(t, 12))
	fyne.DoAndWait(func() {
		w.desk.Edit("x", func(s *study.Study, m *study.Matte) error {
			stage.AddDisc(s)
			s.AddMatte("legs", selection.LCh)
			s.AddMatte("gloves", selection.LCh)
			return nil
		})
		w.desk.GoToStep(desk.StepMasks)
		for range 4 {
			w.desk.AddMask(study.Keep, []mask.Point{{X: 40, Y: 30}, {X: 120, Y: 30}, {X: 120, Y: 90}})
		}
		for _, m := range w.desk.Joinable() {
			w.desk.JoinMatte(m.ID, study.Add)
		}
	})
	var column *container.Scroll // the highest that scrolls up and down
	for _, s := range stage.Seen(w.win.Canvas(), stage.Any[*container.Scroll]) {
		if s.Direction == container.ScrollVerticalOnly && (column == nil || s.Size().Height > column.Size().Height) {
			column = s
		}
	}
	require.LessOrEqual(t, column.Content.MinSize().Height, column.Size().Height)
}
