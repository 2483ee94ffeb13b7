package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/view"
)

func TestBaseIsLookedAtAsAFrame(t *testing.T) {
	r := newRig(t, 1)
	r.View = view.Reasons
	r.OpenStep(StepBase)
	assert.Equal(t, view.Frame, r.View)
	r.OpenStep(StepMasks)
	assert.Equal(t, view.Reasons, r.View, "as before")
	r.OpenStep(StepBase)
	r.View = view.Matte // the user's own wish
	r.OpenStep(StepPick)
	assert.Equal(t, view.Matte, r.View)
}

func TestTheGradeStaysShownFromTrialToEdge(t *testing.T) {
	r := newRig(t, 1)
	r.View = view.Hatch
	r.OpenStep(StepTrial)
	assert.Equal(t, view.Trial, r.View)
	r.OpenStep(StepEdge)
	assert.Equal(t, view.Trial, r.View)
	r.OpenStep(StepTrial)
	r.OpenStep(StepPick)
	assert.Equal(t, view.Hatch, r.View)
}

// Whatever the steps between, who comes back to a step without a view of its own
// looks at it as before, unless he comes from Trial to Edge.
func TestStepsGiveTheViewBack(t *testing.T) {
	plain := []Step{StepPick, StepMasks, StepEdge}
	for _, first := range plain {
		for _, own := range []Step{StepBase, StepTrial} {
			for _, second := range plain {
				if own == StepTrial && second == StepEdge {
					continue
				}
				r := NewDesk(Listener{})
				r.Step, r.View = first, view.Matte
				r.OpenStep(own)
				assert.NotEqual(t, view.Matte, r.View, "%v, %v", first, own)
				r.OpenStep(own)
				r.OpenStep(second)
				assert.Equal(t, view.Matte, r.View, "%v, %v, %v", first, own, second)
				assert.Equal(t, second, r.Step)
				r.Stop()
			}
		}
	}
}

func TestFromBaseToTrialAndOnTheFirstViewComesBack(t *testing.T) {
	r := newRig(t, 1)
	r.View = view.Reasons
	for _, s := range []Step{StepBase, StepTrial, StepBase, StepPick} {
		r.GoToStep(s)
	}
	assert.Equal(t, view.Reasons, r.View)
}

func TestComparingNeverShowsOneViewTwice(t *testing.T) {
	r := newRig(t, 1)
	for _, v := range view.All {
		for _, other := range view.All {
			r.View, r.Other, r.Compare = v, other, false
			r.ToggleCompare()
			assert.True(t, r.Compare)
			assert.NotEqual(t, r.View, r.Other, "%v beside %v", v, other)
			if other != v {
				assert.Equal(t, other, r.Other, "it stays")
			}
			r.ToggleCompare()
			assert.False(t, r.Compare)
		}
	}
}

func TestMattesAreHiddenAndShown(t *testing.T) {
	r := newRig(t, 1)
	first := r.MatteID
	r.NewMatte()
	second := r.MatteID
	assert.Empty(t, r.HiddenMattes())
	r.SetShown(second, false)
	r.SetShown(first, false)
	assert.Equal(t, []int{first, second}, r.HiddenMattes())
	assert.False(t, r.Shows(first))
	r.SetShown(first, true)
	assert.True(t, r.Shows(first))
	assert.Equal(t, []int{second}, r.HiddenMattes())
	assert.Len(t, r.labels(), 1, "that is no edit")
}

func TestWhatPickShowsOpensIt(t *testing.T) {
	r := newRig(t, 1)
	for _, c := range []struct {
		toggle func()
		shown  *bool
	}{{r.ToggleSeparation, &r.ShowSeparation}, {r.ToggleMisclassified, &r.ShowMisclassified}} {
		r.GoToStep(StepEdge)
		c.toggle()
		assert.True(t, *c.shown)
		assert.Equal(t, StepPick, r.Step)
		c.toggle()
		assert.False(t, *c.shown)
	}
}
