package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
)

// A matte that masks alone make is told what to look at: once the edge is found, where it is
// worst.
func TestWhatToLookAtOfMasksAlone(t *testing.T) {
	const look = "Press N: the edge at its worst places."
	r := newLooseRig(t)
	require.True(t, r.MasksAlone())
	says := func(sentence, advice string) {
		t.Helper()
		s, a := r.MasksVerdict()
		assert.Equal(t, [2]string{sentence, advice}, [2]string{s, a})
	}
	says("Masks alone make it", "The edge is being looked for.")
	r.awaitOutline()
	says("Masks alone make it, led to the edge", look)
	r.EditMask("Away", func(m *study.Mask) error { m.Move(1, mask.Everywhere, 5000, 0); return nil })
	says("Masks alone make it", "The edge is being looked for.")
	require.True(t, r.awaitOutline().Found.Lost)
	says("Masks alone make it", "No edge found inside ‘keep’: as drawn.")
	r.SlideSearch(0, study.Done)
	says("Masks alone make it, as they are drawn", look)
}

// Dabs of the pick, a range that is on, or no mask that is on: the pick has a say.
func TestMasksAreNotAlone(t *testing.T) {
	r := newRig(t, 1)
	assert.False(t, r.MasksAlone(), "no mask")
	r.AddMask(study.Keep, box(34, 14, 62, 50))
	assert.True(t, r.MasksAlone())
	r.SetDabUse(ForMasks)
	r.AddDab(onTape)
	assert.True(t, r.MasksAlone(), "a dab for masks says nothing of a pick")
	require.Len(t, r.Matte().MaskDabs, 1)
	r.ToggleMask()
	assert.False(t, r.MasksAlone(), "it is off")
	r.ToggleMask()
	r.set(func(m *study.Matte) { m.Pick.Limits[2] = study.Limit{Soft: study.ConstantRange(rangeOf(0, 50))} })
	assert.False(t, r.MasksAlone(), "a range is on")
	r.Undo()
	assert.True(t, r.MasksAlone())
	require.True(t, r.Edit("Dab", withMatte(func(s *study.Study, m *study.Matte) error {
		s.AddDab(m, onTape)
		return nil
	})), r.problems)
	assert.False(t, r.MasksAlone(), "a dab of the pick")
}
