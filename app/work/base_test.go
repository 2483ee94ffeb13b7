package work

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
)

func TestOpenWaterTakesAStartWhereNothingIsSaid(t *testing.T) {
	b := study.NewBase()
	tookType, tookPath := SetOpenWater(&b, 1, [3]float64{0.1, 0.2, 0.20000049})
	assert.True(t, tookType)
	assert.True(t, tookPath)
	at := b.At(1)
	assert.Equal(t, [3]float64{0.1, 0.2, 0.2}, at.Veil, "six decimals")
	assert.Equal(t, float64(StartPath), at.Path)
	water, err := colour.WaterByName(StartWater)
	require.NoError(t, err)
	assert.Equal(t, water.Beta(), at.Beta)

	b.Water = "5C"
	b.Path.Set(1, 3.5)
	tookType, tookPath = SetOpenWater(&b, 1, [3]float64{0.1, 0.2, 0.3})
	assert.False(t, tookType)
	assert.False(t, tookPath)
	assert.Equal(t, "5C", b.Water)
	assert.Equal(t, 3.5, b.At(1).Path)
}

func TestGreyBecomesGrey(t *testing.T) {
	b := study.NewBase()
	SetOpenWater(&b, 1, [3]float64{0.01, 0.1, 0.12})
	grey := [3]float64{0.06, 0.2, 0.24}
	require.NoError(t, SetGrey(&b, 1, grey))
	at := b.At(1)
	c := at.Colour(colour.RGB{R: colour.Encoded(grey[0]), G: colour.Encoded(grey[1]), B: colour.Encoded(grey[2])})
	assert.InDelta(t, c.R, c.G, 1e-5, "gains have six decimals")
	assert.InDelta(t, c.R, c.B, 1e-5)

	before := b
	require.Error(t, SetGrey(&b, 1, [3]float64{0, 0.2, 0.2}), "nothing left in red")
	assert.Equal(t, before, b)
}

// Black takes the veil's place, and neither a type of water nor a path is needed.
func TestBlackOfTheDarkest(t *testing.T) {
	b := study.NewBase()
	SetBlack(&b, 1, [3]float64{0.02, 0.1, 0.20000049})
	at := b.At(1)
	assert.Equal(t, [3]float64{0.018, 0.09, 0.18}, at.Black, "nine tenths, six decimals")
	assert.Zero(t, at.Path)
	assert.Equal(t, at.Black, at.Steps().Haze)
}
