package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
)

// newSpareRig is a followed rig with a key amid the stretch that can go, and one that cannot.
func newSpareRig(t *testing.T) *rig {
	r := newFollowedRig(t, 9, 0)
	r.EditMask("Keys", func(m *study.Mask) error {
		for _, n := range []int{2, 3, 7} {
			m.CopyKey(1, n)
			m.Move(n, mask.Here, float64(tapeLeft(n)-tapeLeft(1)), 0)
		}
		m.Move(7, mask.Here, 0, 12)
		return nil
	})
	return r
}

// Keys that can go are found behind, and are taken away in one step; what is left is still known.
func TestSpareKeysAreFoundAndTakenAway(t *testing.T) {
	r := newSpareRig(t)
	require.True(t, r.CanLookForSpareKeys())
	assert.Empty(t, r.SpareWords())
	r.LookForSpareKeys()
	assert.True(t, r.SeeksSpareKeys())
	assert.Equal(t, "looking", r.SpareWords())
	r.await("the search", func() bool { return !r.SeeksSpareKeys() })
	keys, ok := r.SpareKeys()
	require.True(t, ok)
	require.Len(t, keys, 1)
	assert.Equal(t, 2, keys[0].Frame)
	assert.Equal(t, "1 key can go", r.SpareWords())
	assert.Contains(t, r.learned, NewSpareKeys)
	before := r.Study()
	r.RemoveSpareKeys(2)
	require.Empty(t, r.problems)
	assert.Equal(t, []int{1, 3, 7, 9}, r.keyFrames())
	assert.Equal(t, "Remove key that can go", r.labels()[0])
	assert.Equal(t, "none can go", r.SpareWords())
	r.Undo()
	assert.Same(t, before, r.Study())
	_, ok = r.SpareKeys()
	assert.False(t, ok, "they are of the mask without them")
}

// A search ends when it is cancelled, and where the mask is another; an edit of something else
// leaves it.
func TestASearchForSpareKeysEnds(t *testing.T) {
	r := newSpareRig(t)
	r.PauseFollowing(true)
	r.LookForSpareKeys()
	assert.False(t, r.FollowingPaused(), "it has to follow")
	r.set(func(m *study.Matte) { m.Edge.Soften.Fix(1) })
	assert.True(t, r.SeeksSpareKeys())
	r.LeaveSpareKeys()
	assert.False(t, r.SeeksSpareKeys())
	assert.Empty(t, r.SpareWords())
	r.LookForSpareKeys()
	r.EditMask("Move", func(m *study.Mask) error { m.Move(1, mask.Here, 1, 0); return nil })
	assert.False(t, r.SeeksSpareKeys())
	r.play()
	_, ok := r.SpareKeys()
	assert.False(t, ok)
	r.RemoveSpareKeys(3)
	assert.Equal(t, []int{1, 2, 3, 7, 9}, r.keyFrames())
	require.Empty(t, r.problems)
}

// Where no key might go there is nothing to look for.
func TestWhereSpareKeysAreLookedFor(t *testing.T) {
	assert.False(t, newIdleRig(t).CanLookForSpareKeys())
	r := newFollowedRig(t, 5, 0)
	assert.False(t, r.CanLookForSpareKeys(), "the first and the last stay")
	r.LookForSpareKeys()
	assert.False(t, r.SeeksSpareKeys())
	r = newSpareRig(t)
	r.ToggleMask()
	assert.False(t, r.CanLookForSpareKeys(), "it is off")
}
