package frame

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
)

// newFullBench is a bench whose matte is full: it has no dabs, and all ranges are off.
func newFullBench(t *testing.T) *bench {
	t.Helper()
	b := newBench(t, 1)
	b.desk.RemoveDabs()
	b.desk.EditMatte("All", func(m *study.Matte) error {
		for c := range m.Pick.Limits {
			m.Pick.Limits[c].Off = true
		}
		return nil
	})
	b.rest(t)
	b.frame.Display()
	return b
}

// What to do about a full matte is said by the step; nothing lies over the frame while a mask
// is drawn.
func TestAFullMatteIsToldByTheStep(t *testing.T) {
	b := newFullBench(t)
	n := b.frame.over.note
	b.desk.GoToStep(desk.StepPick)
	require.True(t, n.all.Visible())
	assert.Equal(t, "The matte is full: press on what it must keep, a keep dab.", n.text.Text())
	b.desk.GoToStep(desk.StepMasks)
	assert.Equal(t, "The matte is full: draw about what it keeps, a keep mask.", n.text.Text())
	b.frame.NewMask(study.Keep)
	assert.False(t, n.all.Visible(), "it would hide the frame's corner")
	b.Key("Escape", 0)
	assert.True(t, n.all.Visible())
}

// The hint is hidden by its button, for this matte, until hints are asked for again.
func TestTheHintOnAFullMatteIsHidden(t *testing.T) {
	b := newFullBench(t)
	n := b.frame.over.note
	require.True(t, n.hide.Visible())
	require.False(t, n.off.Visible())
	b.PressOn(t, n.hide)
	assert.False(t, n.all.Visible())
	b.desk.GoToStep(desk.StepMasks)
	assert.False(t, n.all.Visible())
	b.desk.NewMatte()
	b.rest(t)
	b.frame.Display()
	assert.True(t, n.all.Visible(), "another matte has its own")
	b.desk.NextMatte(-1)
	b.rest(t)
	b.frame.Display()
	assert.False(t, n.all.Visible())
	b.frame.ShowHint()
	assert.True(t, n.all.Visible())
}
