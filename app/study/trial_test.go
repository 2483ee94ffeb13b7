package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/selection"
)

var warm = colour.CDL{
	Slope: [3]float64{1.1, 1.02, 0.9}, Offset: [3]float64{0.01, 0, -0.02}, Power: [3]float64{0.95, 1, 1.05}, Saturation: 1.2,
}

func TestTrialHoldsACDL(t *testing.T) {
	set := NewSettings(selection.LCh)
	at := set.Trial.At(1)
	assert.True(t, at.CDL().IsNeutral())
	assert.False(t, at.Grades())
	require.NoError(t, set.Trial.SetCDL(1, warm))
	assert.Equal(t, warm, set.Trial.At(1).CDL())
	assert.True(t, set.Trial.At(1).Grades())
	set.Trial.Off = true
	assert.False(t, set.Trial.At(1).Grades())
	assert.Equal(t, warm, set.Trial.At(1).CDL(), "off keeps its numbers")
}

func TestTrialTakesKeys(t *testing.T) {
	set := NewSettings(selection.LCh)
	set.Trial.Slope[0].SetKey(1, 1, 0)
	require.NoError(t, set.Trial.SetCDL(11, warm))
	assert.Equal(t, 1.0, set.Trial.At(1).Slope[0])
	assert.InDelta(t, 1.05, set.Trial.At(6).Slope[0], 1e-12)
	assert.Equal(t, 0.9, set.Trial.At(1).Slope[2], "no keys: one constant")
	require.NoError(t, set.Trial.SetCDL(6, set.Trial.At(6).CDL()))
	assert.Len(t, set.Trial.Slope[0].Keys, 2, "no key for what is so already")
}

func TestTrialRefusesWhatAStudyCannotHold(t *testing.T) {
	set := NewSettings(selection.LCh)
	far := warm
	far.Power[2] = 100
	assert.EqualError(t, set.Trial.SetCDL(1, far), "study: trial: power blue is 100, want 0.01 to 64")
	assert.True(t, set.Trial.At(1).CDL().IsNeutral(), "nothing is half done")
}
