package watch

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAReviewIsAgainstTheLastProof(t *testing.T) {
	t.Parallel()
	s, r, _ := newScene(t, 2)
	m := &s.Mattes[0]
	s.KeepProof(m, "first")
	m.Edge.Grow.Fix(6)
	s.KeepProof(m, "second")
	told := make(chan Review, 9)
	v := NewReviewer(func(r Review) { told <- r })
	defer v.Jobs.Stop()
	job := ReviewJob{Study: s, Renderer: r, MatteID: m.ID, Frame: 1, Factor: 1}
	v.Jobs.Ask(job)
	got := <-told
	assert.Equal(t, "second", got.Proof.Name)
	assert.True(t, got.Same)
	assert.Equal(t, *got.Last.Area, *got.Now.Area)
	assert.Equal(t, 1, got.Frame)

	changed := s.Clone()
	changed.Mattes[0].Edge.Grow.Fix(0)
	job.Study = changed
	v.Jobs.Ask(job)
	got = <-told
	assert.False(t, got.Same)
	assert.Same(t, changed, got.Study)
	assert.Less(t, *got.Now.Area, *got.Last.Area, "the proof is grown")

	v.Jobs.Ask(job)
	v.Jobs.Ask(ReviewJob{}) // not wanted any more
	select {
	case <-told:
		require.Fail(t, "a review that is not wanted")
	case <-time.After(reviewDelay + 200*time.Millisecond):
	}
}
