package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/selection"
)

// causeAt is the cause of a pixel, waited for; not needed where pick and masks say it all.
func (r *rig) causeAt(x, y int) (text string, needed bool) {
	r.t.Helper()
	r.rest()
	a, w := r.asked(x, y)
	if _, needed = r.CauseAt(a, w); !needed {
		return "", false
	}
	known := func() (c Cause) {
		c, _ = r.CauseAt(a, w)
		return c
	}
	r.await("a cause", func() bool { return known() != Cause{} })
	assert.NotEmpty(r.t, known().Advice)
	return known().Text, true
}

// On the scene: the tape is picked alone, the grass by another matte, the card by a third,
// both by masks. What decides about a pixel is told by its name.
func TestWhatDecidesBesidePickAndMasks(t *testing.T) {
	r := newPickedRig(t, 1)
	r.set(func(m *study.Matte) { m.Edge.Despeckle = study.Constant(0) })
	tape := r.MatteID
	masked := func(name string, x0, y0, x1, y1 float64) int {
		r.NewMatte()
		require.NoError(t, r.RenameMatte(name))
		r.AddMask(study.Keep, box(x0, y0, x1, y1))
		return r.MatteID
	}
	grass, card := masked("grass", 2, 2, 28, 60), masked("card", 40, 22, 48, 42)
	r.Choose(tape)
	for _, at := range [][2]int{{48, 32}, {10, 30}, {74, 52}} {
		_, needed := r.causeAt(at[0], at[1])
		assert.False(t, needed, "pick and masks say it: %v", at)
	}
	r.JoinMatte(grass, study.Add)
	text, _ := r.causeAt(10, 30)
	assert.Equal(t, "in by ‘grass’", text)
	assert.Equal(t, selection.In, r.ReasonAt(AskedPixel{X: 10, Y: 30}, 1))
	r.JoinMatte(card, study.TakeAway)
	text, _ = r.causeAt(44, 32)
	assert.Equal(t, "out: taken away by ‘card’", text)
	r.SetHow(1, study.Within)
	text, _ = r.causeAt(52, 32)
	assert.Equal(t, "out: not within ‘card’", text)
	r.Unjoin(1)
	r.Unjoin(0)

	edge := func(grow, soften float64) {
		r.set(func(m *study.Matte) { m.Edge.Grow, m.Edge.Soften = study.Constant(grow), study.Constant(soften) })
	}
	edge(4, 0)
	text, _ = r.causeAt(38, 32)
	assert.Equal(t, "in by growing", text)
	edge(-4, 1)
	text, _ = r.causeAt(42, 32)
	assert.Equal(t, "out by growing inward", text)
	edge(0, 4)
	text, _ = r.causeAt(40, 20)
	assert.Equal(t, "out by softening", text)
	_, needed := r.causeAt(48, 32)
	assert.False(t, needed)
}
