package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
)

// From a frame to which the mask follows, a key as it was found, and on from that alone: a key
// after it that was wrong has no part any more.
func TestAMaskFollowsOnFromAFrame(t *testing.T) {
	r := newFollowedRig(t, 9, 0)
	r.EditMask("Key", func(m *study.Mask) error {
		m.CopyKey(1, 4)
		m.Move(4, mask.Here, 6, 0)
		m.CopyKey(9, 8)
		m.Move(9, mask.Here, 20, -10) // wrong
		return nil
	})
	r.GoToFrame(6)
	assert.False(t, r.CanFollowOn(), "what is here is not known yet")
	r.await("an outline to take", r.CanTakeOutline)
	require.True(t, r.CanFollowOn())
	before := r.Study()
	r.FollowOnFromHere()
	require.Empty(t, r.problems)
	assert.Equal(t, FollowOn, r.labels()[0])
	assert.Equal(t, []int{1, 4, 6}, r.keyFrames())
	assert.Equal(t, mask.Follows, r.Mask().After)
	assert.Equal(t, mask.Follow, r.Mask().Keys[1].Way)
	assert.Contains(t, r.notes, "2 keys after this frame went: the mask follows on from here")
	assert.False(t, r.CanFollowOn(), "it does")
	r.onTapeAt(6, r.Mask().At(6).Points, 2.5)
	r.GoToFrame(9)
	r.onTapeAt(9, r.awaitOutline().Found.Outline, 4) // the wrong key lay 20 off
	r.Undo()
	assert.Same(t, before, r.Study())
}

// From a frame with a key, and from one that nothing follows to.
func TestAMaskFollowsOnFromAKeyAndFromNoStretch(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	key := r.Mask().Keys[0]
	r.FollowOnFromHere()
	require.Empty(t, r.problems)
	assert.Equal(t, []study.MaskKey{key}, r.Mask().Keys)
	assert.Equal(t, mask.Follows, r.Mask().After)
	r.Undo()
	r.SetWay(mask.Straight)
	r.GoToFrame(3)
	require.True(t, r.CanFollowOn())
	drawn := r.Mask().At(3).Points
	r.FollowOnFromHere()
	assert.Equal(t, []int{1, 3}, r.keyFrames())
	assert.Equal(t, drawn, r.Mask().At(3).Points)
}
