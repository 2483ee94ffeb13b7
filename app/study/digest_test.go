package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
