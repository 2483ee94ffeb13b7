package ui

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/view"
	"halocline/app/work"
	"halocline/selection"
)

// newTestDesk is a desk on a study of one matte, and counts what it tells.
func newTestDesk(t *testing.T) (d *desk, changes *int, problems *[]problem) {
	t.Helper()
	s := study.New(study.Clip{Path: "/transect.0001.png", First: 1, Count: 1})
	s.AddMatte("sand", selection.HSL)
	d = newDesk()
	changes, problems = new(int), new([]problem)
	d.changed = func() { *changes++ }
	d.report = func(p problem) { *problems = append(*problems, p) }
	d.open(&work.Work{Study: s}, study.NewSession(s, ""))
	*changes = 0
	return d, changes, problems
}

func setSoften(v float64) func(*study.Study, *study.Matte) error {
	return func(_ *study.Study, m *study.Matte) error {
		m.Edge.Soften.Set(1, v)
		return nil
	}
}

func (d *desk) soften() float64 { return d.matte().Edge.Soften.At(1) }

func TestOneDragIsOneEdit(t *testing.T) {
	d, changes, _ := newTestDesk(t)
	for _, v := range []float64{1, 2, 3} {
		d.slide("Soften", look.Moved, setSoften(v))
		assert.Equal(t, v, d.soften())
		assert.True(t, d.dragging())
	}
	d.slide("Soften", look.Done, setSoften(4))
	assert.False(t, d.dragging())
	assert.Equal(t, []string{"Soften"}, d.session.UndoLabels())
	assert.Equal(t, 4, *changes, "one for each move")
	d.undo()
	assert.Zero(t, d.soften())
	d.redo()
	assert.Equal(t, 4.0, d.soften())
}

func TestACancelledDragRestoresItsStart(t *testing.T) {
	d, _, _ := newTestDesk(t)
	d.edit("Soften", setSoften(2))
	d.slide("Soften", look.Moved, setSoften(9))
	d.slide("Soften", look.Cancelled, nil)
	assert.Equal(t, 2.0, d.soften())
	assert.Len(t, d.session.UndoLabels(), 1)
	assert.False(t, d.cancelDrag(), "there is none any more")
}

func TestAFailedEditChangesNothingAndIsReported(t *testing.T) {
	d, _, problems := newTestDesk(t)
	before := d.study()
	assert.False(t, d.edit("Soften", setSoften(-1)), "below what may be")
	assert.False(t, d.edit("Fail", func(*study.Study, *study.Matte) error { return errors.New("no") }))
	assert.Same(t, before, d.study())
	require.Len(t, *problems, 2)
	assert.ErrorContains(t, (*problems)[0].err, "soften")
}

func TestOnlyEditsAreTold(t *testing.T) {
	d, _, _ := newTestDesk(t)
	var did []string
	d.did = func(label string) { did = append(did, label) }
	assert.True(t, d.edit("Same", setSoften(0)))
	d.slide("There and back", look.Moved, setSoften(3))
	d.slide("There and back", look.Done, setSoften(0))
	d.slide("Same again", look.Done, setSoften(0))
	d.slide("Moved", look.Moved, setSoften(1))
	d.slide("Moved", look.Done, setSoften(2))
	d.edit("Edited", setSoften(5))
	assert.Equal(t, []string{"Moved", "Edited"}, did)
	assert.Equal(t, []string{"Edited", "Moved"}, d.session.UndoLabels())
}

func TestWhatIsChosenExists(t *testing.T) {
	d, _, _ := newTestDesk(t)
	first := d.matteID
	d.edit("New matte", func(s *study.Study, _ *study.Matte) error {
		d.matteID = s.AddMatte("skin", selection.LCh).ID
		return nil
	})
	assert.Equal(t, "skin", d.matte().Name)
	d.undo()
	assert.Equal(t, first, d.matteID, "the matte is gone: another is chosen")
	d.edit("Delete matte", func(s *study.Study, m *study.Matte) error { return s.RemoveMatte(m.ID) })
	assert.Nil(t, d.matte())
	assert.Nil(t, d.mask())
}

func TestNothingOpenDoesNothing(t *testing.T) {
	d := newDesk()
	assert.False(t, d.edit("x", setSoften(1)))
	d.slide("x", look.Done, setSoften(1))
	assert.Nil(t, d.matte())
}

func TestBaseIsLookedAtAsAFrame(t *testing.T) {
	d, _, _ := newTestDesk(t)
	d.view = view.Reasons
	d.openStep(stepBase)
	assert.Equal(t, view.Frame, d.view)
	d.openStep(stepMasks)
	assert.Equal(t, view.Reasons, d.view, "as before")
	d.openStep(stepBase)
	d.view = view.Matte // the user's own wish
	d.openStep(stepPick)
	assert.Equal(t, view.Matte, d.view)
}

func TestTheGradeStaysShownFromTrialToEdge(t *testing.T) {
	d, _, _ := newTestDesk(t)
	d.view = view.Hatch
	d.openStep(stepTrial)
	assert.Equal(t, view.Trial, d.view)
	d.openStep(stepEdge)
	assert.Equal(t, view.Trial, d.view)
	d.openStep(stepTrial)
	d.openStep(stepPick)
	assert.Equal(t, view.Hatch, d.view)
}
