package scene

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// A clip without an effect shows another picture of the same things.
func TestEffectsLeaveTheTruth(t *testing.T) {
	c, err := NewClip(t.Context(), 1, 160, 90)
	require.NoError(t, err)
	whole, err := c.Frame(t.Context(), 5, 0)
	require.NoError(t, err)
	same, err := c.Without(0).Frame(t.Context(), 5, 0)
	require.NoError(t, err)
	assert.Equal(t, whole, same)
	for _, e := range []Effects{Caustics, Particles, Veil} {
		f, err := c.Without(e).Frame(t.Context(), 5, 0)
		require.NoError(t, err)
		assert.NotEqual(t, whole.Image, f.Image, e)
		for i, truth := range [][2]colour.Plane{{whole.Skin, f.Skin}, {whole.Sand, f.Sand}, {whole.Water, f.Water}, {whole.Swimmer, f.Swimmer}} {
			assert.Equal(t, truth[0], truth[1], "effect %d, truth %d", e, i)
		}
	}
	again, err := c.Frame(t.Context(), 5, 0)
	require.NoError(t, err)
	assert.Equal(t, whole, again, "the clip itself stays as it is")
}

// The veil only adds light.
func TestVeilLiftsTheDark(t *testing.T) {
	c, err := NewClip(t.Context(), 1, 160, 90)
	require.NoError(t, err)
	whole, err := c.Frame(t.Context(), 1, 0)
	require.NoError(t, err)
	clear, err := c.Without(Veil).Frame(t.Context(), 1, 0)
	require.NoError(t, err)
	for i, v := range whole.Image.G.Pix {
		assert.LessOrEqual(t, clear.Image.G.Pix[i], v+1.5/255)
	}
}
