package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
	"halocline/selection"
)

func TestDigest(t *testing.T) {
	const frame = 30
	s := transect(t)
	want := s.Digest(frame, &s.Mattes[0])
	require.Len(t, want, 64)
	for name, tt := range map[string]struct {
		change func(*Study)
		redo   bool
	}{
		"nothing":           {func(s *Study) {}, false},
		"note":              {func(s *Study) { s.Mattes[0].Note = "other" }, false},
		"name":              {func(s *Study) { s.Mattes[0].Name = "other" }, false},
		"mask's name":       {func(s *Study) { s.Mattes[0].Masks[0].Name = "other" }, false},
		"id":                {func(s *Study) { s.Mattes[0].ID = s.NewID() }, false},
		"dab":               {func(s *Study) { s.Mattes[0].Dabs = nil }, false},
		"proof":             {func(s *Study) { s.Mattes[0].Proofs = nil }, false},
		"trial":             {func(s *Study) { s.Mattes[0].Trial.Slope[0].Fix(2) }, false},
		"other matte":       {func(s *Study) { s.Mattes[1].Edge.Grow.Fix(2) }, false},
		"path":              {func(s *Study) { s.Clip.Path = "/other" }, false},
		"key past its hold": {func(s *Study) { s.Base.Exposure.SetKey(30, 0.3, 0); s.Base.Exposure.SetKey(40, 9, 0) }, false},
		"drop mask not on":  {func(s *Study) { s.Mattes[0].Masks[1].In.Frame = 31; s.Mattes[0].Masks = s.Mattes[0].Masks[:2] }, true},
		"exposure":          {func(s *Study) { s.Base.Exposure.Fix(0.31) }, true},
		"water":             {func(s *Study) { s.Base.Water = "5C" }, true},
		"source":            {func(s *Study) { s.Clip.SHA256 = "f" + s.Clip.SHA256[1:] }, true},
		"noise":             {func(s *Study) { s.Clip.Noise[0] += 1e-9 }, true},
		"smooth":            {func(s *Study) { s.Mattes[0].Pick.Smooth = false }, true},
		"limit":             {func(s *Study) { s.Mattes[0].Pick.Limits[selection.Sat].Off = true }, true},
		"hue key":           {func(s *Study) { s.Mattes[0].Pick.Limits[0].Keys[1].Value.To++ }, true},
		"point":             {func(s *Study) { s.Mattes[0].Masks[0].Keys[0].Points[2].Y += 1e-9 }, true},
		"kind":              {func(s *Study) { s.Mattes[0].Masks[0].Kind = Drop }, true},
		"edge":              {func(s *Study) { s.Mattes[0].Edge.About.Fix(0.4) }, true},
	} {
		other := s.Clone()
		tt.change(other)
		assert.Equal(t, tt.redo, other.Digest(frame, &other.Mattes[0]) != want, name)
	}
	still := New(Clip{Path: "/dive/a.png", Count: 100})
	m := still.AddMatte("all", selection.HSL)
	assert.NotEqual(t, still.Digest(1, m), still.Digest(2, m), "another frame is another picture, whatever the settings")
	assert.Equal(t, want, s.DigestOf(frame, &s.Mattes[0].Proofs[0].Settings), "the proof is of the same settings")
	loaded := decoded(t, encoded(t, s))
	assert.Equal(t, want, loaded.Digest(frame, &loaded.Mattes[0]))
}

func TestDigestFinished(t *testing.T) {
	s := transect(t)
	s.Mattes[1].Trial.Power[1].Fix(0.8)
	want := s.DigestFinished(3)
	for name, tt := range map[string]struct {
		change func(*Study)
		redo   bool
	}{
		"note":         {func(s *Study) { s.Mattes[0].Note = "other" }, false},
		"trial":        {func(s *Study) { s.Mattes[0].Trial.Slope[0].Fix(2) }, true},
		"other's edge": {func(s *Study) { s.Mattes[1].Edge.Grow.Fix(2) }, true},
		"trial off":    {func(s *Study) { s.Mattes[0].Trial.Off = true }, true},
		"order":        {func(s *Study) { s.Mattes[0], s.Mattes[1] = s.Mattes[1], s.Mattes[0] }, true},
	} {
		other := s.Clone()
		tt.change(other)
		assert.Equal(t, tt.redo, other.DigestFinished(3) != want, name)
	}
	s.Mattes[0].Trial.Off = true
	s.Mattes[1].Trial.Power[1].Fix(1)
	want = s.DigestFinished(3)
	s.Mattes[0].Edge.Grow.Fix(3)
	assert.Equal(t, want, s.DigestFinished(3), "a matte whose trial is off has no part")
	s.Mattes[1].Edge.Grow.Fix(3)
	assert.Equal(t, want, s.DigestFinished(3), "nor has one whose trial is neutral")
}

// A followed frame depends on base all along its stretch where the mask searches for edges,
// and on its keys; a frame at a key or off the stretch does not.
func TestDigestOfAFollowedFrame(t *testing.T) {
	s := transect(t)
	m := &s.Mattes[0].Masks[0]
	m.Before, m.After, m.In, m.Out, m.Off, m.Search = mask.Holds, mask.Holds, Bound{}, Bound{}, false, 24
	m.Keys = m.Keys[:2]
	m.Keys[0].Frame, m.Keys[0].Way, m.Keys[1].Frame = 10, mask.Follow, 20
	digests := func() (all [4]string) {
		for i, frame := range []int{10, 13, 14, 30} {
			all[i] = s.Digest(frame, &s.Mattes[0])
		}
		return all
	}
	before := digests()
	require.NotEqual(t, before[1], before[2])
	for _, frame := range []int{5, 10, 17, 18, 20, 21, 40} { // keys on all frames: only one of them changes below
		s.Base.Exposure.SetKey(frame, 1, mask.Step)
	}
	same := digests()
	s.Base.Exposure.SetKey(17, 1.5, mask.Step)
	after := digests()
	require.Equal(t, same[0], after[0])
	require.NotEqual(t, same[1], after[1])
	require.NotEqual(t, same[2], after[2])
	require.Equal(t, same[3], after[3])
	m.Search = 0
	without := digests()
	s.Base.Exposure.SetKey(17, 1, mask.Step)
	require.Equal(t, without, digests(), "motion is looked for before base")
	m.Keys[1].Points[0].X++
	require.NotEqual(t, without[1], digests()[1])
}

// A followed frame's picture is made of all frames of its stretch that the footage has, with
// those of what its matte takes in.
func TestFramesBehindAPicture(t *testing.T) {
	s := transect(t)
	set := &s.Mattes[0].Settings
	set.Masks = set.Masks[:1]
	m := &set.Masks[0]
	m.Before, m.After, m.In, m.Out, m.Off, m.Search = mask.Holds, mask.Follows, Bound{}, Bound{}, false, 0
	m.Keys = m.Keys[:2]
	m.Keys[0].Frame, m.Keys[0].Way, m.Keys[1].Frame, m.Keys[1].Way = 10, mask.Follow, 14, mask.Straight
	set.Joins = nil
	has := func(n int) bool { return n != 12 }
	require.Equal(t, []int{9}, s.FramesBehind(set, 9, has), "it holds")
	require.Equal(t, []int{10}, s.FramesBehind(set, 10, has), "a key")
	require.Equal(t, []int{10, 11, 13, 14}, s.FramesBehind(set, 11, has))
	require.Equal(t, []int{14, 15, 16}, s.FramesBehind(set, 16, has), "from the last key to the frame")
	other := s.AddMatte("other", selection.LCh)
	other.Joins = []Join{{With: s.Mattes[0].ID, How: Add}}
	require.Equal(t, []int{14, 15, 16}, s.FramesBehind(&other.Settings, 16, has), "what is taken in")
	s.Mattes[0].Masks[0].Off = true
	require.Equal(t, []int{16}, s.FramesBehind(&other.Settings, 16, has))
}
