package desk

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

func softened(v float64) func(*study.Study, *study.Matte) error {
	return func(_ *study.Study, m *study.Matte) error {
		m.Edge.Soften.Set(1, v)
		return nil
	}
}

func (r *rig) soften() float64 { return r.Matte().Edge.Soften.At(1) }

func TestOneDragIsOneEdit(t *testing.T) {
	r := newRig(t, 1)
	for _, v := range []float64{1, 2, 3} {
		r.Slide("Soften", study.Moved, softened(v))
		assert.Equal(t, v, r.soften())
		assert.True(t, r.Dragging())
		assert.Empty(t, r.did, "it is told once it is made")
	}
	r.Slide("Soften", study.Done, softened(4))
	assert.False(t, r.Dragging())
	assert.Equal(t, []string{"Soften"}, r.labels())
	assert.Equal(t, []string{"Soften"}, r.did)
	assert.Equal(t, 4, r.changes, "one for each move")
	r.Undo()
	assert.Zero(t, r.soften())
	r.Redo()
	assert.Equal(t, 4.0, r.soften())
}

func TestACancelledDragRestoresItsStart(t *testing.T) {
	r := newRig(t, 1)
	r.Edit("Soften", softened(2))
	r.Slide("Soften", study.Moved, softened(9))
	r.Slide("Soften", study.Cancelled, nil)
	assert.Equal(t, 2.0, r.soften())
	assert.Len(t, r.labels(), 1)
	assert.False(t, r.CancelDrag(), "there is none any more")
}

func TestADragEndsAsAnEditWhereSomethingElseIsDone(t *testing.T) {
	for name, act := range map[string]func(r *rig){
		"an edit": func(r *rig) {
			r.Edit("Grow", func(_ *study.Study, m *study.Matte) error { m.Edge.Grow.Fix(2); return nil })
		},
		"undo and redo": func(r *rig) { r.Undo(); r.Redo() },
	} {
		r := newRig(t, 1)
		r.Slide("Soften", study.Moved, softened(3))
		act(r)
		assert.Equal(t, 3.0, r.soften(), name)
		assert.Contains(t, r.labels(), "Soften", name)
		assert.False(t, r.Dragging(), name)
		r.Slide("Soften", study.Moved, softened(4))
		r.Slide("Soften", study.Done, softened(5))
		assert.Equal(t, 5.0, r.soften(), "%s: the next drag is another", name)
	}
}

func TestADragIsOfTheMatteThatItBeganWith(t *testing.T) {
	r := newRig(t, 1)
	first := r.MatteID
	r.NewMatte()
	second := r.MatteID
	r.Choose(first)
	r.Slide("Soften", study.Moved, softened(2))
	r.Choose(second)
	r.Slide("Soften", study.Moved, softened(3))
	r.Slide("Soften", study.Done, softened(4))
	assert.Equal(t, 4.0, r.Study().Matte(first).Edge.Soften.At(1))
	assert.Zero(t, r.Study().Matte(second).Edge.Soften.At(1))
	assert.Equal(t, second, r.MatteID)
	assert.Equal(t, "Soften", r.labels()[0])
}

func TestAFailedEditChangesNothingAndIsReported(t *testing.T) {
	r := newRig(t, 1)
	before := r.Study()
	assert.False(t, r.Edit("Soften", softened(-1)), "below what may be")
	assert.ErrorContains(t, r.lastProblem().Err, "soften")
	assert.False(t, r.Edit("Fail", func(*study.Study, *study.Matte) error { return errors.New("no") }))
	assert.Equal(t, Problem{"Fail: not done", "The study is as it was.", errors.New("no")}, r.lastProblem())
	r.Slide("Drag", study.Moved, softened(-1))
	assert.Empty(t, r.problems, "who drags too far is not told at each move")
	r.Slide("Drag", study.Done, softened(-1))
	assert.Equal(t, "Drag: not done", r.lastProblem().What)
	assert.Same(t, before, r.Study())
	assert.Empty(t, r.labels())
	assert.Empty(t, r.did)
}

// What is reported is so: the study is as it was before the drag.
func TestADragThatFailsInTheEndIsGivenUp(t *testing.T) {
	r := newRig(t, 1)
	before := r.Study()
	r.Slide("Soften", study.Moved, softened(3))
	r.Slide("Soften", study.Done, softened(-1))
	assert.Equal(t, "Soften: not done", r.lastProblem().What)
	assert.False(t, r.Dragging())
	assert.Same(t, before, r.Study())
	assert.Empty(t, r.labels())
}

func TestOnlyEditsAreTold(t *testing.T) {
	r := newRig(t, 1)
	assert.True(t, r.Edit("Same", softened(0)))
	r.Slide("There and back", study.Moved, softened(3))
	r.Slide("There and back", study.Done, softened(0))
	r.Slide("Same again", study.Done, softened(0))
	r.Slide("Moved", study.Moved, softened(1))
	r.Slide("Moved", study.Done, softened(2))
	r.Edit("Edited", softened(5))
	assert.Equal(t, []string{"Moved", "Edited"}, r.did)
	assert.Equal(t, []string{"Edited", "Moved"}, r.labels())
}

func TestWhatIsChosenExists(t *testing.T) {
	r := newRig(t, 1)
	first := r.MatteID
	r.Edit("New matte", func(s *study.Study, _ *study.Matte) error {
		r.MatteID = s.AddMatte("sand", selection.LCh).ID
		return nil
	})
	assert.Equal(t, "sand", r.Matte().Name)
	r.Undo()
	assert.Equal(t, first, r.MatteID, "the matte is gone: another is chosen")
	r.Edit("Delete matte", func(s *study.Study, m *study.Matte) error { return s.RemoveMatte(m.ID) })
	assert.Nil(t, r.Matte())
	assert.Nil(t, r.Mask())
}

func TestChoosingAMatteChoosesItsFirstMask(t *testing.T) {
	r := newRig(t, 1)
	first := r.MatteID
	r.AddMask(study.Keep, box(4, 4, 20, 20))
	r.AddMask(study.Drop, box(30, 4, 50, 20))
	masks := r.Matte().Masks
	assert.Equal(t, masks[1].ID, r.MaskID)
	r.NewMatte()
	assert.Zero(t, r.MaskID)
	r.Choose(first)
	assert.Equal(t, masks[0].ID, r.MaskID)
	r.Choose(4711)
	assert.Equal(t, first, r.MatteID, "there is no such matte")
}

func TestNothingOpenDoesNothing(t *testing.T) {
	r := newIdleRig(t)
	assert.False(t, r.Edit("x", softened(1)))
	r.Slide("x", study.Done, softened(1))
	r.Undo()
	r.Redo()
	r.AddDab(onTape)
	r.Suggest()
	r.UseModel(selection.HSL)
	r.RemoveDab(1)
	r.NextMatte(1)
	r.NextMask(1)
	r.NextWorst()
	r.MoveFrame(1)
	r.ChooseLane(1)
	r.Review()
	r.Check()
	assert.False(t, r.Play(false, 1, func() {}))
	assert.False(t, r.EndPlay())
	assert.Nil(t, r.Study())
	assert.Nil(t, r.Matte())
	assert.Nil(t, r.Mask())
	assert.Nil(t, r.Frames())
	assert.Nil(t, r.Seam())
	assert.Nil(t, r.SourceNow())
	assert.Nil(t, r.Misclassified())
	assert.Nil(t, r.KeyedValues())
	assert.Empty(t, r.StudyName())
	assert.Empty(t, r.FrameText())
	for what, so := range map[string]bool{
		"unsaved": r.Unsaved(), "fresh": r.Fresh(), "several": r.Several(), "movie": r.IsMovie(), "rate": r.HasRate(),
		"trial": r.TrialStands(), "soften": r.CanSoftenBest(), "worst": r.KnowsWorst(), "stale": r.Stale(StepPick),
		"frame": r.HasFrame(1), "part": r.PartOnly(), "add": r.CanAddKey(), "remove": r.CanRemoveKey(),
	} {
		assert.False(t, so, what)
	}
	assert.Empty(t, r.did)
}

// What a matte is needed for says so where there is none, and changes nothing.
func TestActsOnAMatteNeedOne(t *testing.T) {
	r := newRig(t, 3)
	r.DeleteMatte()
	before := r.Study()
	require.Nil(t, r.Matte())
	for name, act := range map[string]func(){
		"EditMatte":      func() { r.EditMatte("x", func(*study.Matte) error { return nil }) },
		"SlideMatte":     func() { r.SlideMatte("x", study.Done, func(*study.Matte) error { return nil }) },
		"EditMask":       func() { r.EditMask("x", func(*study.Mask) error { return nil }) },
		"AddMask":        func() { r.AddMask(study.Keep, box(1, 1, 9, 9)) },
		"DuplicateMask":  r.DuplicateMask,
		"DuplicateMatte": r.DuplicateMatte,
		"DeleteMatte":    r.DeleteMatte,
		"MoveMatte":      func() { r.MoveMatte(1) },
		"KeepProof":      r.KeepProof,
		"RemoveDabs":     r.RemoveDabs,
		"ResetTrial":     r.ResetTrial,
		"TurnTrial":      func() { r.TurnTrial(false) },
		"SetIn":          func() { r.SetIn(2) },
		"SetWay":         func() { r.SetWay(mask.Curved) },
		"AddKey":         func() { r.AddKey(7, 2) },
		"MoveKey":        func() { r.MoveKey(7, 1, 2, false, study.Done) },
		"RemoveKey":      func() { r.RemoveKey(7, 2) },
		"SlideTrial":     func() { r.SlideTrial("slope", 0, 2, study.Done) },
	} {
		act()
		require.Len(t, r.problems, 1, name)
		assert.ErrorContains(t, r.lastProblem().Err, "there is no matte", name)
		assert.Same(t, before, r.Study(), name)
	}
}

// TestAnotherStudyLeavesNothingOfTheLast: what was chosen, found and pressed goes
// with its study; how one looks stays.
func TestAnotherStudyLeavesNothingOfTheLast(t *testing.T) {
	t.Parallel()
	r := newRig(t, 4)
	r.dab(onTape, onGrass)
	r.AddMask(study.Keep, box(4, 4, 60, 60))
	r.GoToFrame(3)
	r.SetEnds(2, 3)
	r.SetReach(mask.Onward)
	r.SetShown(r.MatteID, false)
	r.KeepProof()
	r.WantReview = true
	r.rest()
	r.Press = PressGrey
	r.GoToStep(StepBase)
	r.TakeBase(Spot{X: 88, Y: 8, Radius: 3})
	require.NotNil(t, r.GreySpot())
	r.await("a review", func() bool { return r.Reviewed.Study == r.Study() })
	r.await("a verdict", func() bool { return r.Verdict().Of > 0 })
	r.Slide("Soften", study.Moved, softened(2))
	r.PressDab(onTape)
	r.AddDab(onTape2)
	r.Compare, r.Split = true, 0.25

	old := r.Study()
	r.Leave()
	r.begin(writeScene(t, 2))
	assert.NotSame(t, old, r.Study())
	assert.Equal(t, 1, r.Frame)
	assert.Equal(t, [2]int{1, 2}, r.Ends)
	assert.Equal(t, mask.Here, r.Reach)
	assert.Empty(t, r.HiddenMattes())
	assert.Zero(t, r.MaskID)
	assert.Nil(t, r.Found.About)
	assert.Nil(t, r.Reviewed.Study)
	assert.Nil(t, r.Offer)
	assert.Zero(t, r.Verdict().Of)
	assert.Nil(t, r.GreySpot())
	assert.Zero(t, r.EditsWithoutGain())
	assert.False(t, r.Dragging())
	assert.Empty(t, r.Dabs)
	_, known := r.Would()
	assert.False(t, known)
	r.GoToFrame(2)
	_, known = r.GreyFrame()
	assert.False(t, known)
	r.rest()
	assert.Empty(t, r.Matte().Dabs, "the dab on its way was the other study's")
	assert.Empty(t, r.labels())
	assert.Equal(t, StepBase, r.Step)
	assert.True(t, r.Compare)
	assert.Equal(t, 0.25, r.Split)
}

// What works in the background for a study that was left is not taken up by the next,
// though its mattes have the same ids.
func TestLateNewsOfAnotherStudyIsDropped(t *testing.T) {
	r := newRig(t, 3)
	r.dab(onTape, onGrass)
	r.KeepProof()
	r.rest()
	found, review := r.Found, r.Reviewed
	review.Study, review.MatteID, review.Proof = r.Study(), r.MatteID, &r.Matte().Proofs[0]
	r.await("a verdict", func() bool { return r.Verdict().Of > 0 })
	verdict := r.Verdict()
	r.Leave()
	r.begin(writeScene(t, 3))
	require.Equal(t, found.MatteID, r.MatteID, "one id for both")
	r.learned = nil
	r.takeFindings(found)
	r.takeReview(review)
	r.takeVerdict(verdict)
	assert.Empty(t, r.learned)
	assert.Nil(t, r.Found.About)
	assert.Nil(t, r.Reviewed.Study)
	assert.Zero(t, r.Verdict().Of)
}
