package colour

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// slowBeyond is the rule for one pixel, as documented.
func slowBeyond(c RGB, b Base, noise [3]float64) bool {
	t := b.transmission()
	haze := b.Black
	if haze == [3]float64{} {
		for i := range haze {
			haze[i] = b.Veil[i] * (1 - t[i])
		}
	}
	for i, v := range c.parts() {
		slope := (b.Input.Light(v+1e-6) - b.Input.Light(v-1e-6)) / 2e-6
		if v <= 1./512 || v >= 1-1./512 || b.Input.Light(v)-haze[i] < 2*noise[i]*slope {
			return true
		}
	}
	return false
}

func TestBeyondRepairFollowsItsRule(t *testing.T) {
	noise := [3]float64{0.01, 0.008, 0.012}
	for name, b := range testBases() {
		src := randomPicture(120, 80, 0, 1, 11)
		var mask Plane
		share, err := BeyondRepair(background, &mask, src, b, noise, 2)
		require.NoError(t, err)
		lost := 0
		for i, v := range mask.Pix {
			c := src.RGB(i%120, i/120)
			want := slowBeyond(c, b, noise)
			// Within a millionth of the limit either side is right.
			if slowBeyond(RGB{c.R + 1e-6, c.G + 1e-6, c.B + 1e-6}, b, noise) != slowBeyond(RGB{c.R - 1e-6, c.G - 1e-6, c.B - 1e-6}, b, noise) {
				want = v == 1
			}
			require.Equal(t, want, v == 1, "%s: %v", name, c)
			if v == 1 {
				lost++
			}
		}
		assert.Equal(t, float64(lost)/(120*80), share, name)
	}
}

func TestBeyondRepairOfKnownPixels(t *testing.T) {
	b := Neutral()
	b.Beta, b.Path, b.Veil = [3]float64{0.4, 0.1, 0.1}, 5, [3]float64{0.05, 0.05, 0.05}
	haze := Encoded(0.05 * (1 - b.transmission()[0]))
	black := Neutral()
	black.Black = [3]float64{0.05, 0.05, 0.05}
	for name, p := range map[string]struct {
		red  float64
		base Base
		want float32
	}{
		"clipped":           {1, Neutral(), 1},
		"255 of 255":        {255. / 255, Neutral(), 1},
		"254 of 255":        {254. / 255, Neutral(), 0},
		"1 of 255":          {1. / 255, Neutral(), 0},
		"black":             {0, Neutral(), 1},
		"the veil alone":    {haze, b, 1},
		"black alone":       {Encoded(0.05), black, 1},
		"well over black":   {Encoded(0.05) + 0.1, black, 0},
		"well over it":      {haze + 0.1, b, 0},
		"the same, no veil": {haze, Neutral(), 0},
	} {
		m := NewImage(1, 1)
		m.R.Pix[0], m.G.Pix[0], m.B.Pix[0] = float32(p.red), 0.5, 0.5
		var mask Plane
		share, err := BeyondRepair(background, &mask, m, p.base, [3]float64{0.001, 0.001, 0.001}, 1)
		require.NoError(t, err)
		assert.Equal(t, p.want, mask.Pix[0], name)
		assert.Equal(t, float64(p.want), share, name)
	}
	bad := Neutral()
	bad.Path = -1
	_, err := BeyondRepair(background, &Plane{}, NewImage(1, 1), bad, [3]float64{}, 1)
	assert.EqualError(t, err, "colour: base: path is -1, want 0 m or more")
	share, err := BeyondRepair(background, &Plane{}, NewImage(0, 0), Neutral(), [3]float64{}, 1)
	require.NoError(t, err)
	assert.Zero(t, share)
}
