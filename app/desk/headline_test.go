package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/check/seam"
	"halocline/app/desk/watch"
	"halocline/app/render"
	"halocline/selection"
)

// One thing at a time is said, that which makes the most of what else there is to know useless
// first.
func TestTheHeadlineSaysWhatMattersMost(t *testing.T) {
	r := newPickedRig(t, 2)
	r.rest()
	m := r.Matte()
	known := new(selection.Separation)
	known.Keep, known.Drop = 2, 2
	known.Pick.Set.Value, known.Pick.Could.Value = 0.94, 0.69
	r.Found.Separation = known
	h := r.Headline()
	assert.Equal(t, "Colour alone cannot do it: draw a keep mask", h.Sentence)
	assert.Equal(t, "It tells 69 of 100 pairs of pixels apart.", h.Advice, "the number that the bars show: not that on the dabs that it was fitted to")
	assert.Equal(t, "tested on dabs it was not fitted to", h.By)

	graded := &watch.Seam{About: r.Found.About, MatteID: m.ID, Frame: r.Frame, Figures: seam.Figures{Misfit: 0.4}}
	r.Found.Seam = graded
	r.GoToStep(StepPick)
	assert.Contains(t, r.Headline().Sentence, "Colour alone", "the grade is not what is worked on")
	r.GoToStep(StepTrial)
	h = r.Headline()
	assert.Equal(t, "The edge carries this grade", h.Sentence)
	assert.Equal(t, "What it does to the noise is not known.", h.Advice)
	graded.Coverage = seam.Coverage{Spilled: 0.14, SpilledAt: &seam.Place{X: 410, Y: 233}}
	for _, s := range []Step{StepTrial, StepPick} { // wrong by a region matters in each step
		r.GoToStep(s)
		h = r.Headline()
		assert.Equal(t, "14 % of the grade lies on what looks dropped", h.Sentence)
		assert.Equal(t, "Drop dabs, or another mask. Most at 410, 233.", h.Advice)
	}

	r.Found.Bite = &check.Bite{Inside: 1000, Like: 1, Kept: 0.5}
	assert.Equal(t, "The pick leaves out 50 % inside its mask", r.Headline().Sentence)
	r.Found.Crossings = []render.Crossing{{X: 50, Y: 31, Length: 40}}
	assert.Equal(t, Headline{"The outline may cut the subject at 50, 31", "Press N to look at it.", ""}, r.Headline())
}

func TestTheHeadlineWhereLittleIsKnown(t *testing.T) {
	r := newRig(t, 1)
	r.rest()
	h := r.Headline()
	require.NotNil(t, r.Matte())
	if !r.MasksAlone() {
		assert.Equal(t, "Separation is not known yet", h.Sentence)
	}
	r.Set(func() { r.MatteID = 0 })
	assert.Equal(t, "Nothing to judge yet", r.Headline().Sentence)
}

func TestAdviceOnAGrade(t *testing.T) {
	for want, s := range map[string]*watch.Seam{
		"The matte is nowhere.":                                {Why: "the matte is nowhere"},
		"Drop dabs, or another mask.":                          {Coverage: seam.Coverage{Spilled: 0.2, Short: 0.1}},
		"Keep dabs, or another mask. Most at 3, 4.":            {Coverage: seam.Coverage{Spilled: 0.1, Short: 0.2, ShortAt: &seam.Place{X: 3, Y: 4}}},
		"Soften or grow it less.":                              {Coverage: seam.Coverage{Beyond: 0.1}},
		"The matte is harder than the picture.":                {Figures: seam.Figures{Misfit: 2, Rim: 2}},
		"No drop dabs.":                                        {Coverage: seam.Coverage{Unknown: "no drop dabs"}},
		"It leaves the noise inside the matte about as it is.": {Noise: &check.NoiseChange{}},
	} {
		assert.Equal(t, want, SeamAdvice(s))
	}
}
