package desk

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
)

// While following is paused nothing is followed, which is said; frames that are known stay.
// Resumed, it goes on.
func TestFollowingIsPausedAndGoesOn(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	assert.True(t, r.CanPauseFollowing())
	r.PauseFollowing(true)
	changes := r.changes
	r.PauseFollowing(true)
	assert.Equal(t, changes, r.changes, "it is paused already")
	r.GoToFrame(4)
	r.passes(300 * time.Millisecond)
	assert.True(t, r.FollowingPaused())
	assert.Equal(t, "follows: paused", r.SureWords())
	assert.Equal(t, "Following is paused.", r.WhyNoOutline())
	assert.Empty(t, r.FollowingWords())
	assert.Zero(t, r.Work.Renderer.Runs()[render.FindFlow])
	r.PauseFollowing(false)
	r.awaitOutline()
	r.PauseFollowing(true)
	assert.Regexp(t, `^follows: \d+ % sure$`, r.SureWords(), "what is known stays")
	require.Empty(t, r.problems)
}

// Nothing can be paused where nothing follows, and a study that is opened follows again.
func TestWherePausingIsOffered(t *testing.T) {
	assert.False(t, newIdleRig(t).CanPauseFollowing())
	r := newRig(t, 3)
	assert.False(t, r.CanPauseFollowing())
	r.PauseFollowing(true)
	assert.True(t, r.CanPauseFollowing(), "it can go on")
	again := newIdleRig(t)
	again.PauseFollowing(true)
	assert.False(t, again.FollowingPaused(), "nothing is open")
}

// How far the work is stays a moment, so that the words do not come and go with each frame.
func TestProgressStaysBetweenFrames(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.Stop()
	tell := r.tellFollowing(r.Work)
	tell(3, 6)
	tell(0, 0)
	r.play()
	assert.Equal(t, "following: frame 3 of 6", r.FollowingWords())
	tell(4, 6)
	r.passes(progressStays / 2)
	assert.Equal(t, "following: frame 4 of 6", r.FollowingWords())
	r.passes(progressStays)
	assert.Equal(t, "following: frame 4 of 6", r.FollowingWords(), "it is under way")
	tell(0, 0)
	r.await("its end", func() bool { return r.FollowingWords() == "" })
}
