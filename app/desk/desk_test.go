package desk

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/view"
	"halocline/app/work"
	"halocline/selection"
)

// newTestDesk is a desk on a study of one matte, and counts what it tells.
func newTestDesk(t *testing.T) (d *Desk, changes *int, problems *[]Problem) {
	t.Helper()
	s := study.New(study.Clip{Path: "/transect.0001.png", First: 1, Count: 1})
	s.AddMatte("sand", selection.HSL)
	changes, problems = new(int), new([]Problem)
	l := quiet()
	l.Changed = func() { *changes++ }
	l.Report = func(p Problem) { *problems = append(*problems, p) }
	d = NewDesk(l)
	t.Cleanup(d.Stop)
	d.Open(&work.Work{Study: s}, study.NewSession(s, ""))
	*changes = 0
	return d, changes, problems
}

// quiet listens to nothing.
func quiet() Listener {
	none := func() {}
	return Listener{
		Changed: none, Sought: none, Did: func(string) {}, Learned: func(News) {},
		Report: func(Problem) {}, Note: func(string) {}, Post: func(do func()) { do() },
	}
}

func SetSoften(v float64) func(*study.Study, *study.Matte) error {
	return func(_ *study.Study, m *study.Matte) error {
		m.Edge.Soften.Set(1, v)
		return nil
	}
}

func (d *Desk) Soften() float64 { return d.Matte().Edge.Soften.At(1) }

func TestOneDragIsOneEdit(t *testing.T) {
	d, changes, _ := newTestDesk(t)
	for _, v := range []float64{1, 2, 3} {
		d.Slide("Soften", study.Moved, SetSoften(v))
		assert.Equal(t, v, d.Soften())
		assert.True(t, d.Dragging())
	}
	d.Slide("Soften", study.Done, SetSoften(4))
	assert.False(t, d.Dragging())
	assert.Equal(t, []string{"Soften"}, d.Session.UndoLabels())
	assert.Equal(t, 4, *changes, "one for each move")
	d.Undo()
	assert.Zero(t, d.Soften())
	d.Redo()
	assert.Equal(t, 4.0, d.Soften())
}

func TestACancelledDragRestoresItsStart(t *testing.T) {
	d, _, _ := newTestDesk(t)
	d.Edit("Soften", SetSoften(2))
	d.Slide("Soften", study.Moved, SetSoften(9))
	d.Slide("Soften", study.Cancelled, nil)
	assert.Equal(t, 2.0, d.Soften())
	assert.Len(t, d.Session.UndoLabels(), 1)
	assert.False(t, d.CancelDrag(), "there is none any more")
}

func TestAFailedEditChangesNothingAndIsReported(t *testing.T) {
	d, _, problems := newTestDesk(t)
	before := d.Study()
	assert.False(t, d.Edit("Soften", SetSoften(-1)), "below what may be")
	assert.False(t, d.Edit("Fail", func(*study.Study, *study.Matte) error { return errors.New("no") }))
	assert.Same(t, before, d.Study())
	require.Len(t, *problems, 2)
	assert.ErrorContains(t, (*problems)[0].Err, "soften")
}

func TestOnlyEditsAreTold(t *testing.T) {
	d, _, _ := newTestDesk(t)
	var did []string
	d.Did = func(label string) { did = append(did, label) }
	assert.True(t, d.Edit("Same", SetSoften(0)))
	d.Slide("There and back", study.Moved, SetSoften(3))
	d.Slide("There and back", study.Done, SetSoften(0))
	d.Slide("Same again", study.Done, SetSoften(0))
	d.Slide("Moved", study.Moved, SetSoften(1))
	d.Slide("Moved", study.Done, SetSoften(2))
	d.Edit("Edited", SetSoften(5))
	assert.Equal(t, []string{"Moved", "Edited"}, did)
	assert.Equal(t, []string{"Edited", "Moved"}, d.Session.UndoLabels())
}

func TestWhatIsChosenExists(t *testing.T) {
	d, _, _ := newTestDesk(t)
	first := d.MatteID
	d.Edit("New matte", func(s *study.Study, _ *study.Matte) error {
		d.MatteID = s.AddMatte("skin", selection.LCh).ID
		return nil
	})
	assert.Equal(t, "skin", d.Matte().Name)
	d.Undo()
	assert.Equal(t, first, d.MatteID, "the matte is gone: another is chosen")
	d.Edit("Delete matte", func(s *study.Study, m *study.Matte) error { return s.RemoveMatte(m.ID) })
	assert.Nil(t, d.Matte())
	assert.Nil(t, d.Mask())
}

func TestNothingOpenDoesNothing(t *testing.T) {
	d := NewDesk(quiet())
	t.Cleanup(d.Stop)
	assert.False(t, d.Edit("x", SetSoften(1)))
	d.Slide("x", study.Done, SetSoften(1))
	assert.Nil(t, d.Matte())
}

func TestBaseIsLookedAtAsAFrame(t *testing.T) {
	d, _, _ := newTestDesk(t)
	d.View = view.Reasons
	d.OpenStep(StepBase)
	assert.Equal(t, view.Frame, d.View)
	d.OpenStep(StepMasks)
	assert.Equal(t, view.Reasons, d.View, "as before")
	d.OpenStep(StepBase)
	d.View = view.Matte // the user's own wish
	d.OpenStep(StepPick)
	assert.Equal(t, view.Matte, d.View)
}

func TestTheGradeStaysShownFromTrialToEdge(t *testing.T) {
	d, _, _ := newTestDesk(t)
	d.View = view.Hatch
	d.OpenStep(StepTrial)
	assert.Equal(t, view.Trial, d.View)
	d.OpenStep(StepEdge)
	assert.Equal(t, view.Trial, d.View)
	d.OpenStep(StepTrial)
	d.OpenStep(StepPick)
	assert.Equal(t, view.Hatch, d.View)
}
