package desk

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/check/seam"
	"halocline/app/desk/watch"
	"halocline/app/study"
)

// newGradedRig is a desk whose matte picks the tape and grades it.
func newGradedRig(t *testing.T, frames int) *rig {
	t.Helper()
	r := newRig(t, frames)
	r.dab(onTape, onTape2, onGrass, onSand)
	r.SlideTrial("slope", 0, 1.6, study.Done)
	r.await("the seam", func() bool { return r.Seam() != nil })
	return r
}

func TestTheSeamIsOfTheMatteAsItIs(t *testing.T) {
	r := newGradedRig(t, 2)
	s := r.Seam()
	require.Empty(t, s.Why)
	assert.Same(t, r.Study(), s.About)
	assert.NotEmpty(t, s.Along)
	assert.Positive(t, s.Figures.Misfit)
	for name, act := range map[string]func(){
		"an edit":       func() { r.Edit("Grow", func(_ *study.Study, m *study.Matte) error { m.Edge.Grow.Fix(1); return nil }) },
		"another frame": func() { r.GoToFrame(2) },
		"another matte": func() { r.NewMatte() },
	} {
		act()
		assert.Nil(t, r.Seam(), name)
		assert.False(t, r.CanSoftenBest(), name)
	}
	r.NextMatte(-1)
	r.await("the seam of the other frame", func() bool { return r.Seam() != nil })
	assert.Equal(t, 2, r.Seam().Frame)
}

func TestSofteningBestMisfitsLeast(t *testing.T) {
	t.Parallel()
	r := newGradedRig(t, 1)
	if !r.CanSoftenBest() { // the edge is best as it is: begin from a worse one
		r.set(func(m *study.Matte) { m.Edge.Soften = study.Constant(6) })
		r.await("the seam", func() bool { return r.Seam() != nil })
	}
	require.True(t, r.CanSoftenBest())
	before := *r.Seam()
	r.SoftenBest()
	assert.Equal(t, "Soften: least misfit", r.labels()[0])
	assert.Equal(t, before.Best, r.soften())
	assert.Nil(t, r.Seam(), "it is of before")
	n := len(r.labels())
	r.SoftenBest()
	assert.Len(t, r.labels(), n, "nothing is known")
	r.await("the seam anew", func() bool { return r.Seam() != nil })
	assert.LessOrEqual(t, r.Seam().Figures.Misfit, before.Figures.Misfit)
	assert.False(t, r.CanSoftenBest(), "there is nothing to gain")
}

// A matte without an edge has no seam, and says why.
func TestAMatteWithoutAnEdgeHasNoSeam(t *testing.T) {
	r := newRig(t, 1) // it picks everything
	r.SlideTrial("slope", 0, 1.6, study.Done)
	r.await("the seam", func() bool { return r.Seam() != nil })
	require.NotEmpty(t, r.Seam().Why)
	assert.Contains(t, SeamVerdict(r.Seam()).String(), "No edge to measure: ")
	assert.False(t, r.CanSoftenBest())
	n := len(r.labels())
	r.SoftenBest()
	assert.Len(t, r.labels(), n)
	r.TurnTrial(false)
	r.rest()
	r.passes(100 * time.Millisecond)
	assert.Nil(t, r.Seam(), "nothing grades")
}

func TestTheSeamInWords(t *testing.T) {
	verdict := func(misfit, rim, bleed float64) string {
		return SeamVerdict(&watch.Seam{Figures: seam.Figures{Misfit: misfit, Rim: rim, Bleed: bleed}}).String()
	}
	assert.Equal(t, "The edge carries this grade.", verdict(0.9, 0.5, 0.1))
	assert.Contains(t, verdict(3, 3, 1), "harder than the picture")
	assert.Contains(t, verdict(3, 1, 3), "softer, or off")
	assert.Contains(t, verdict(3, 2, 2), "off the picture's edge")
	for decibels, want := range map[float64]string{
		3: "lifts the noise inside the matte by 3.0 dB", -2.5: "lowers the noise inside the matte by 2.5 dB", 0.4: "about as it is", -0.4: "about as it is",
	} {
		assert.Contains(t, NoiseWords(&check.NoiseChange{Decibels: decibels}), want)
	}
	assert.Contains(t, NoiseWords(nil), "not known")
}

// The map of the seam is for Edge and Trial: asked for elsewhere, it opens Trial.
func TestTheSeamsMap(t *testing.T) {
	for _, from := range Steps {
		r := newRig(t, 1)
		r.GoToStep(from)
		r.ToggleSeam()
		assert.True(t, r.ShowSeam)
		want := StepTrial
		if SeamSteps[from] {
			want = from
		}
		assert.Equal(t, want, r.Step)
		r.ToggleSeam()
		assert.False(t, r.ShowSeam)
		r.ToggleSeam()
		r.GoToStep(StepMasks)
		r.ToggleSeam()
		assert.True(t, r.ShowSeam, "it was hidden by the step: it is shown again")
		assert.Equal(t, StepTrial, r.Step)
	}
}
