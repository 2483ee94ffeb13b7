package desk

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"halocline/app/study"
	"halocline/selection"
)

// newOfferRig is a desk whose matte has two dabs and a hue that was set by hand.
func newOfferRig(t *testing.T, frames int) *rig {
	t.Helper()
	r := newRig(t, frames)
	r.dab(onTape, onGrass)
	r.set(func(m *study.Matte) {
		p := m.Pick.At(1)
		p.Limits[selection.Hue].From -= 5
		PutPick(m, p, 1)
	})
	return r
}

// suggested waits for a suggestion.
func (r *rig) suggested() *Suggestion {
	r.t.Helper()
	r.Suggest()
	r.await("a suggestion", func() bool { return r.Offer != nil })
	return r.Offer
}

func TestASuggestionIsShownBeforeItIsTaken(t *testing.T) {
	r := newOfferRig(t, 1)
	before, was := r.Study(), r.pick()
	r.GoToStep(StepMasks)
	s := r.suggested()
	assert.Equal(t, StepPick, r.Step)
	assert.Same(t, before, r.Study(), "shown alone")
	assert.Equal(t, r.MatteID, s.MatteID)
	assert.Same(t, before, s.About)
	assert.NotNil(t, s.After)
	assert.NotEmpty(t, s.Lines)
	assert.Equal(t, Differences(was, s.Pick), s.Lines)
	r.Take(s)
	assert.Equal(t, s.Pick, r.pick())
	assert.True(t, r.Matte().Pick.Fitted)
	assert.Equal(t, "Suggest from dabs", r.labels()[0])
	assert.Nil(t, r.Offer, "the study is another")
	again := r.suggested()
	assert.Empty(t, again.Lines, "it has what was suggested")
	assert.False(t, again.Better())
}

// A suggestion is for the matte as it was when it was asked for.
func TestASuggestionIsDroppedOnceItIsOvertaken(t *testing.T) {
	t.Parallel()
	for name, act := range map[string]func(r *rig){
		"an edit":          func(r *rig) { r.Edit("Soften", softened(2)) },
		"another matte":    func(r *rig) { r.NewMatte() },
		"an edit undone":   func(r *rig) { r.Undo() },
		"a drag":           func(r *rig) { r.Slide("Soften", study.Moved, softened(2)) },
		"the matte's end":  func(r *rig) { r.DeleteMatte() },
		"a matte's choice": func(r *rig) { r.Choose(r.Study().Mattes[1].ID) },
	} {
		r := newOfferRig(t, 2)
		first := r.MatteID
		r.NewMatte()
		r.Choose(first)
		r.suggested()
		act(r)
		assert.Nil(t, r.Offer, "%s: once it is shown", name)

		r = newOfferRig(t, 2)
		first = r.MatteID
		r.NewMatte()
		r.Choose(first)
		r.Suggest()
		act(r)
		r.passes(100 * time.Millisecond)
		assert.Nil(t, r.Offer, "%s: while it is worked out", name)
		assert.Empty(t, r.problems, name)
	}
	r := newOfferRig(t, 2)
	r.Suggest()
	r.GoToFrame(2)
	r.passes(100 * time.Millisecond)
	assert.Nil(t, r.Offer, "another frame, while it is worked out")
}

func TestWhatIsMissingForASuggestion(t *testing.T) {
	r := newRig(t, 1)
	says := func(part string) {
		t.Helper()
		assert.Contains(t, r.WhyNoSuggestion(), part)
		r.Suggest()
		p := r.lastProblem()
		assert.Equal(t, "No suggestion yet", p.What)
		assert.Equal(t, r.WhyNoSuggestion(), p.ToDo)
	}
	says("Press on what the matte must keep")
	r.dab(onGrass)
	says("There are drop dabs alone")
	r.RemoveDabs()
	r.dab(onTape)
	says("One dab tells too little")
	r.dab(onGrass)
	assert.Empty(t, r.WhyNoSuggestion())
	r.DeleteMatte()
	assert.Contains(t, r.WhyNoSuggestion(), "no matte")
	r.Suggest()
	r.play()
	assert.Nil(t, r.Offer)
}

func TestWhichSuggestionsAreBetter(t *testing.T) {
	with := func(set float64) *selection.Separation {
		var s selection.Separation
		s.Pick.Set.Value = set
		return &s
	}
	lines := []string{"hue 15–28 becomes hue 15–31"}
	for _, tt := range []struct {
		s    Suggestion
		want bool
	}{
		{Suggestion{Lines: lines}, true},
		{Suggestion{Lines: lines, Before: with(0.8), After: with(0.9)}, true},
		{Suggestion{Lines: lines, Before: with(0.8), After: with(0.798)}, true},
		{Suggestion{Lines: lines, Before: with(0.8), After: with(0.79)}, false},
		{Suggestion{Before: with(0.8), After: with(0.9)}, false},
	} {
		assert.Equal(t, tt.want, tt.s.Better(), "%+v", tt.s)
	}
}

func TestDifferencesAreSaid(t *testing.T) {
	a := selection.Pick{Model: selection.HSL}
	a.Limits[selection.Hue].Range = selection.Range{From: 15, To: 28}
	a.Limits[selection.Light].Off = true
	b := a
	b.Limits[selection.Hue].To = 31
	b.Limits[selection.Light] = selection.Limit{Range: selection.Range{From: 0.2, To: 0.8}}
	assert.Equal(t, []string{"hue 15–28 becomes hue 15–31", "light off becomes light 0.20–0.80"}, Differences(a, b))
	assert.Empty(t, Differences(a, a))
	c := a
	c.Model = selection.LCh
	assert.Equal(t, "LCh instead of HSL", Differences(a, c)[0])
}
