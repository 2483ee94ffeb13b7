package study

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/selection"
)

// carried is a study with a matte that comes from another clip.
func carried(t *testing.T) *Study {
	t.Helper()
	s := New(Clip{Path: "b.png", First: 1, Count: 1})
	m := s.AddMatte("skin", selection.LCh)
	m.Pick = ConstantPick(selection.Pick{Model: selection.LCh, Limits: [selection.Channels]selection.Limit{
		{Range: selection.Range{From: 20, To: 60, Before: 5, After: 7}},
		{Range: selection.Range{From: 10, To: 40, Before: 2, After: 3}},
		{Off: true, Range: selection.Range{To: 100}},
	}}, true)
	m.Carried = Carried{From: "a", HandFades: true, Shift: 4, Unlike: 0.5, Moved: Moves{Chroma: true}, Dabs: []CarriedDab{{Keep, [][3]uint8{{255, 0, 51}}}}}
	return s
}

// No picture depends on where a matte comes from, and a clone has its own.
func TestCarriedIsOfNoDigest(t *testing.T) {
	s := carried(t)
	before := s.Digest(1, &s.Mattes[0])
	copied := s.Clone()
	copied.Mattes[0].Carried.Dabs[0].Colours[0][0] = 7
	assert.EqualValues(t, 255, s.Mattes[0].Carried.Dabs[0].Colours[0][0])
	s.Mattes[0].Carried = Carried{}
	assert.Equal(t, before, s.Digest(1, &s.Mattes[0]))
	assert.InDelta(t, 0.2, carried(t).Mattes[0].Carried.Dabs[0].RGB()[0].B, 1e-9)
}

// A fit to new dabs ends what was said of the pick, and keeps fades that were set by hand: at each
// fit. Another model has its own.
func TestAFitKeepsFadesSetByHand(t *testing.T) {
	fit := selection.Pick{Model: selection.LCh, Limits: [selection.Channels]selection.Limit{
		{Range: selection.Range{From: 25, To: 70, Before: 1, After: 1}},
		{Off: true, Range: selection.Range{To: 140}},
		{Range: selection.Range{From: 30, To: 70, Before: 9, After: 9}},
	}}
	want := fit
	want.Limits[selection.Hue].Before, want.Limits[selection.Hue].After = 5, 7
	m := &carried(t).Mattes[0]
	for range 2 {
		m.TakeFit(fit, 1)
		assert.Equal(t, want, m.Pick.At(1))
		assert.True(t, m.Pick.Fitted)
		assert.Equal(t, Carried{From: "a", HandFades: true}, m.Carried)
	}
	m = &carried(t).Mattes[0]
	other := fit
	other.Model = selection.HSL
	assert.Equal(t, other, m.KeepFades(other, 1))
	m.Carried.HandFades = false
	m.TakeFit(fit, 1)
	assert.Equal(t, fit, m.Pick.At(1), "fades of a fit are of its dabs")
	assert.Equal(t, Carried{}, m.Carried)
	m = &carried(t).Mattes[0]
	m.SetFitted(false)
	assert.True(t, m.Carried.Moved.Any())
	m.SetFitted(true)
	assert.False(t, m.Carried.Moved.Any())
}

func TestMoves(t *testing.T) {
	for i := range 8 {
		m := Moves{Hue: i&1 > 0, Chroma: i&2 > 0, Lightness: i&4 > 0}
		again, err := ParseMoves(m.String())
		require.NoError(t, err)
		assert.Equal(t, m, again)
		assert.Equal(t, i > 0, m.Any())
	}
	_, err := ParseMoves("hue, depth")
	require.EqualError(t, err, `study: moved is "hue, depth", want some of hue, chroma, lightness`)
}

func TestCarriedOfBadFiles(t *testing.T) {
	var b strings.Builder
	require.NoError(t, Encode(&b, carried(t)))
	for says, change := range map[string][2]string{
		`mattes[0].carried.dabs[0].colours has text "ff00zz", want words of six hexadecimal digits`: {"ff0033", "ff00zz"},
		`number of colours is 0, want 1 to 100000`:                                                  {"ff0033", ""},
		`unlike is 1.5, want 0 to 1`:                                                                {`"unlike": 0.5`, `"unlike": 1.5`},
		`moved is text "depth", want some of hue, chroma, lightness`:                                {`"moved": "chroma"`, `"moved": "depth"`},
		`clip is missing, want the name of the clip`:                                                {`"clip": "a"`, `"clip": ""`},
	} {
		require.Contains(t, b.String(), change[0])
		_, err := Decode(strings.NewReader(strings.Replace(b.String(), change[0], change[1], 1)))
		require.ErrorContains(t, err, says)
	}
}
