package proof

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// A plane's level and fades are swept one by one; the values of its level lie evenly.
func TestSweepOfAPlane(t *testing.T) {
	doc := study.New(study.Clip{Path: "x", First: 1, Count: 9})
	m := doc.AddMatte("skin", selection.PlaneModel)
	across := &m.Pick.Limits[selection.Across]
	across.Off = false
	across.SetKey(1, selection.LevelRange(10, 2, 1), mask.Straight)
	across.SetKey(9, selection.LevelRange(20, 4, 3), mask.Straight)
	require.NoError(t, doc.Validate())
	s := &m.Settings

	w, err := ParseSweep(s, "plane-level=-10:14:5")
	require.NoError(t, err)
	assert.Equal(t, []float64{-10, -4, 2, 8, 14}, w.Values())
	for _, frame := range []int{1, 5, 9} {
		got := w.Of.With(s, -4)
		assert.Equal(t, -4.0, w.Of.At(got, frame))
		r, old := got.Pick.At(frame).Limits[selection.Across].Range, s.Pick.At(frame).Limits[selection.Across].Range
		assert.Equal(t, selection.LevelRange(-4, old.Before, old.After), r, "the fades stay")
	}
	for _, name := range []string{"plane-fade-before", "plane-fade-after"} {
		p, err := ParameterNamed(s, name)
		require.NoError(t, err)
		got := p.With(s, 6)
		assert.Equal(t, 6.0, p.At(got, 5), name)
		assert.Equal(t, 15.0, got.Pick.At(5).Limits[selection.Across].From, name)
	}
	_, err = ParameterNamed(s, "hue-after")
	assert.Error(t, err, "a plane has no hue")
	across.Off = true
	_, err = ParameterNamed(s, "plane-level")
	assert.Error(t, err, "it is off")
}
