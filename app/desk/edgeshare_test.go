package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// Of a tape that a mask cuts half way up, the mask ends one side of four.
func TestWhatEndsTheMatte(t *testing.T) {
	r := newPickedRig(t, 1)
	assert.Empty(t, r.EdgeWords(), "it has no mask")
	r.AddMask(study.Keep, box(0, 0, wide, 32))
	r.EditMask("Hard", func(m *study.Mask) error {
		m.Search, m.Rounded, m.Keys[0].Inner, m.Keys[0].Outer = 0, false, 0, 0
		return nil
	})
	assert.Empty(t, r.EdgeWords(), "it is not known yet")
	r.await("the share", func() bool { return r.EdgeWords() != "" })
	require.True(t, r.edge.ok)
	side := float64(32 - tapeTop)
	assert.InDelta(t, tapeWidth/(2*tapeWidth+2*side), r.edge.masked, 0.05)
	assert.Equal(t, "70 % pick, 30 % masks", r.EdgeWords())
	r.set(func(m *study.Matte) { m.Note = "another study" })
	assert.Empty(t, r.EdgeWords(), "it is of what was")
	r.await("the share", func() bool { return r.EdgeWords() != "" })
}
