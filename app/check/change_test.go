package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// By hand: minima 0.5 + 0 + 0.25 over maxima 1 + 1 + 0.5; the differences are 0.5, 1, 0.25 and 0.
// Neither side is the truth: the other way round it is the same.
func TestChange(t *testing.T) {
	a, b := plane(4, 1, 0.5, 1, 0.25, 0), plane(4, 1, 1, 0, 0.5, 0)
	for range 2 {
		c, err := Compare(t.Context(), a, b)
		require.NoError(t, err)
		require.NotNil(t, c.IoU)
		assert.InDelta(t, 0.75/2.5, *c.IoU, 1e-12)
		assert.InDelta(t, 1.75/4, c.Mean, 1e-12)
		assert.InDelta(t, 1, c.Largest, 1e-12)
		a, b = b, a
	}
	assert.Equal(t, []float32{0.75, 0, 0.625, 0.5}, Difference(a, b).Pix, "lighter where the second keeps more")

	c, err := Compare(t.Context(), colour.NewPlane(2, 2), colour.NewPlane(2, 2))
	require.NoError(t, err)
	assert.Equal(t, Change{}, c, "both are empty: no IoU, no change")
	_, err = Compare(t.Context(), a, colour.NewPlane(2, 1))
	require.EqualError(t, err, "check: one matte is 4 x 1, the other 2 x 1")
	_, err = Compare(t.Context(), colour.Plane{}, colour.Plane{})
	require.EqualError(t, err, "check: the mattes are empty")
}

// Two mattes and their truth of 16 x 16 pixels, worked with a general library: what Score says of
// them Compare says too.
func TestChangeAgreesWithScore(t *testing.T) {
	p := pair(t)
	a, g := p["pred_t0"], p["gt_t0"]
	s, err := Score(t.Context(), a, g, nil)
	require.NoError(t, err)
	c, err := Compare(t.Context(), a, g)
	require.NoError(t, err)
	assert.Equal(t, *s.IoU, *c.IoU)
	assert.Equal(t, s.MAE, c.Mean)
	assert.GreaterOrEqual(t, c.Largest, c.Mean)
}
