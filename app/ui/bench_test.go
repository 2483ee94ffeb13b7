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

// newTestBench is a bench on a study of one matte, and counts what it tells.
func newTestBench(t *testing.T) (b *bench, changes *int, problems *[]problem) {
	t.Helper()
	s := study.New(study.Clip{Path: "/transect.0001.png", First: 1, Count: 1})
	s.AddMatte("sand", selection.HSL)
	b = newBench()
	changes, problems = new(int), new([]problem)
	b.changed = func() { *changes++ }
	b.report = func(p problem) { *problems = append(*problems, p) }
	b.open(&work.Work{Study: s}, study.NewSession(s, ""))
	*changes = 0
	return b, changes, problems
}

func setSoften(v float64) func(*study.Study, *study.Matte) error {
	return func(_ *study.Study, m *study.Matte) error {
		m.Edge.Soften.Set(1, v)
		return nil
	}
}

func (b *bench) soften() float64 { return b.matte().Edge.Soften.At(1) }

func TestOneDragIsOneStep(t *testing.T) {
	b, changes, _ := newTestBench(t)
	for _, v := range []float64{1, 2, 3} {
		b.slide("Soften", look.Moved, setSoften(v))
		assert.Equal(t, v, b.soften())
		assert.True(t, b.dragging())
	}
	b.slide("Soften", look.Done, setSoften(4))
	assert.False(t, b.dragging())
	assert.Equal(t, []string{"Soften"}, b.session.UndoLabels())
	assert.Equal(t, 4, *changes, "one for each move")
	b.undo()
	assert.Zero(t, b.soften())
	b.redo()
	assert.Equal(t, 4.0, b.soften())
}

func TestACancelledDragRestoresItsStart(t *testing.T) {
	b, _, _ := newTestBench(t)
	b.edit("Soften", setSoften(2))
	b.slide("Soften", look.Moved, setSoften(9))
	b.slide("Soften", look.Cancelled, nil)
	assert.Equal(t, 2.0, b.soften())
	assert.Len(t, b.session.UndoLabels(), 1)
	assert.False(t, b.cancelDrag(), "there is none any more")
}

func TestAFailedEditChangesNothingAndIsReported(t *testing.T) {
	b, _, problems := newTestBench(t)
	before := b.study()
	assert.False(t, b.edit("Soften", setSoften(-1)), "below what may be")
	assert.False(t, b.edit("Fail", func(*study.Study, *study.Matte) error { return errors.New("no") }))
	assert.Same(t, before, b.study())
	require.Len(t, *problems, 2)
	assert.ErrorContains(t, (*problems)[0].err, "soften")
}

func TestOnlyStepsAreTold(t *testing.T) {
	b, _, _ := newTestBench(t)
	var did []string
	b.did = func(label string) { did = append(did, label) }
	assert.True(t, b.edit("Same", setSoften(0)))
	b.slide("There and back", look.Moved, setSoften(3))
	b.slide("There and back", look.Done, setSoften(0))
	b.slide("Same again", look.Done, setSoften(0))
	b.slide("Moved", look.Moved, setSoften(1))
	b.slide("Moved", look.Done, setSoften(2))
	b.edit("Edited", setSoften(5))
	assert.Equal(t, []string{"Moved", "Edited"}, did)
	assert.Equal(t, []string{"Edited", "Moved"}, b.session.UndoLabels())
}

func TestWhatIsChosenExists(t *testing.T) {
	b, _, _ := newTestBench(t)
	first := b.matteID
	b.edit("New matte", func(s *study.Study, _ *study.Matte) error {
		b.matteID = s.AddMatte("skin", selection.LCh).ID
		return nil
	})
	assert.Equal(t, "skin", b.matte().Name)
	b.undo()
	assert.Equal(t, first, b.matteID, "the matte is gone: another is chosen")
	b.edit("Delete matte", func(s *study.Study, m *study.Matte) error { return s.RemoveMatte(m.ID) })
	assert.Nil(t, b.matte())
	assert.Nil(t, b.mask())
}

func TestNothingOpenDoesNothing(t *testing.T) {
	b := newBench()
	assert.False(t, b.edit("x", setSoften(1)))
	b.slide("x", look.Done, setSoften(1))
	assert.Nil(t, b.matte())
}

func TestBaseIsLookedAtAsAFrame(t *testing.T) {
	b, _, _ := newTestBench(t)
	b.view = view.Reasons
	b.openStep(stepBase)
	assert.Equal(t, view.Frame, b.view)
	b.openStep(stepMasks)
	assert.Equal(t, view.Reasons, b.view, "as before")
	b.openStep(stepBase)
	b.view = view.Matte // the user's own wish
	b.openStep(stepPick)
	assert.Equal(t, view.Matte, b.view)
}

func TestTheGradeStaysInSightFromTrialToEdge(t *testing.T) {
	b, _, _ := newTestBench(t)
	b.view = view.Hatch
	b.openStep(stepTrial)
	assert.Equal(t, view.Trial, b.view)
	b.openStep(stepEdge)
	assert.Equal(t, view.Trial, b.view)
	b.openStep(stepTrial)
	b.openStep(stepPick)
	assert.Equal(t, view.Hatch, b.view)
}
