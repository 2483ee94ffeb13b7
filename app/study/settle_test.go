package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
	"halocline/selection"
)

// settling is a study of two mattes: the first takes the second in.
func settling() (s *Study, whole, part *Matte) {
	s = New(Clip{Path: "swim.0001.png", First: 1, Count: 40})
	s.AddMatte("whole", selection.LCh)
	s.AddMatte("part", selection.HSL)
	whole, part = &s.Mattes[0], &s.Mattes[1]
	whole.TakeIn(part.ID, Add)
	return s, whole, part
}

func TestSettledSettings(t *testing.T) {
	s, whole, part := settling()
	at := s.SettingsAt(&whole.Settings, 10)
	assert.Nil(t, at.Settle)
	assert.False(t, at.Settles())
	whole.Edge.Grow.SetKey(9, 1, mask.Straight)
	whole.Edge.Grow.SetKey(11, 3, mask.Straight)
	whole.Edge.Settle.SetKey(10, 0.5, mask.Step)
	whole.Edge.Settle.SetKey(11, 0, mask.Step)
	part.Edge.Settle.Fix(1)
	at = s.SettingsAt(&whole.Settings, 10)
	require.NotNil(t, at.Settle)
	assert.Equal(t, 0.5, at.Settle.Share)
	assert.Equal(t, [3]float64{1, 2, 3}, [3]float64{at.Settle.Before.Edge.Grow, at.Edge.Grow, at.Settle.After.Edge.Grow}, "each frame has its own")
	assert.Nil(t, at.Settle.Before.Settle, "what is settled with does not settle itself")
	assert.NotNil(t, at.Settle.After.Joined[0].Settings.Settle, "what it takes in does")
	assert.Nil(t, s.SettingsAt(&whole.Settings, 11).Settle, "0 is neutral")
	plain := at.Unsettled()
	assert.False(t, plain.Settles())
	assert.True(t, at.Settles(), "the copy shares nothing that it changes")
}

func everywhere(int) bool { return true }

func TestFramesBehindASettledFrame(t *testing.T) {
	s, whole, part := settling()
	behind := func() []int { return s.FramesBehind(&whole.Settings, 10, everywhere) }
	assert.Equal(t, []int{10}, behind())
	part.Edge.Settle.Fix(1)
	assert.Equal(t, []int{9, 10, 11}, behind(), "for what is taken in")
	whole.Edge.Settle.Fix(0.2)
	assert.Equal(t, []int{8, 9, 10, 11, 12}, behind())
	part.Edge.Settle.Fix(0)
	assert.Equal(t, []int{9, 10, 11}, behind())
}

// A mask that follows needs the pictures of its stretch, a settled one those of the stretches of
// the frames beside too.
func TestFramesBehindAFollowedFrame(t *testing.T) {
	s, whole, _ := settling()
	triangle := []Point{{X: 1, Y: 2}, {X: 30, Y: 4}, {X: 5, Y: 60}}
	m := s.AddMask(whole, "body", Keep, MaskKey{Frame: 4, Way: mask.Follow, Opacity: 1, Points: triangle})
	m.Keys = append(m.Keys, MaskKey{Frame: 8, Opacity: 1, Points: triangle})
	assert.Equal(t, []int{4, 5, 6, 7, 8}, s.FramesBehind(&whole.Settings, 6, everywhere))
	assert.Equal(t, []int{8}, s.FramesBehind(&whole.Settings, 8, everywhere))
	whole.Edge.Settle.Fix(1)
	assert.Equal(t, []int{4, 5, 6, 7, 8, 9}, s.FramesBehind(&whole.Settings, 8, everywhere))
	m.Off = true
	assert.Equal(t, []int{7, 8, 9}, s.FramesBehind(&whole.Settings, 8, everywhere))
}

// The digest of a settled frame holds what the mattes and base are on the frames beside it, and
// which of the mattes settles.
func TestDigestOfASettledFrame(t *testing.T) {
	s, whole, part := settling()
	plain := s.Digest(10, whole)
	for _, n := range []int{8, 9, 10, 11, 12} { // keys on all frames: only one changes below
		s.Base.Exposure.SetKey(n, 0, mask.Step)
		part.Edge.Grow.SetKey(n, 0, mask.Step)
	}
	require.Equal(t, plain, s.Digest(10, whole), "without settle the frames beside do not count")
	whole.Edge.Settle.Fix(0.5)
	settled := s.Digest(10, whole)
	require.NotEqual(t, plain, settled)
	assert.Equal(t, s.DigestSettings(10, whole, false), s.DigestSettings(20, whole, false), "frames of the same settings")
	for n, counts := range map[int]bool{8: false, 9: true, 11: true, 12: false} {
		for name, track := range map[string]*Number{"base": &s.Base.Exposure, "taken in": &part.Edge.Grow} {
			track.SetKey(n, 1, mask.Step)
			assert.Equal(t, counts, s.Digest(10, whole) != settled, "%s at frame %d", name, n)
			track.SetKey(n, 0, mask.Step)
		}
	}
	other := s.AddMatte("other", selection.HSL).ID
	whole, part = &s.Mattes[0], &s.Mattes[1]
	whole.TakeIn(other, Add)
	s.Mattes[2].Settings = part.Clone()
	part.Edge.Settle.Fix(1)
	one := s.Digest(10, whole)
	part.Edge.Settle.Fix(0)
	s.Mattes[2].Edge.Settle.Fix(1)
	assert.NotEqual(t, one, s.Digest(10, whole), "the other one settles")
}

// Mattes that settle treble what they are made of, so that a line of them stays bounded.
func TestSettledMattesAreCountedThrice(t *testing.T) {
	line := func(n int) *Study {
		s := New(Clip{Path: "/swim.0001.png", First: 1, Count: 40, Rate: [2]int{25, 1}})
		for i := range n {
			m := s.AddMatte("m", selection.HSL)
			m.Edge.Settle.Fix(1)
			if i > 0 {
				m.TakeIn(s.Mattes[i-1].ID, Add)
			}
		}
		return s
	}
	assert.NoError(t, line(4).Validate(), "3, 12, 39, 120")
	assert.ErrorContains(t, line(5).Validate(), "want at most 256")
}
