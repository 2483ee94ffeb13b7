package colour

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// grid is a coarse grid of colours in and around the cube.
func grid() (colours []RGB) {
	levels := []float64{-0.7, -0.25, -0.01, 0, 0.02, srgbEncodedKnee, 0.3, 0.5, 0.77, 1, 1.13, 1.6}
	for _, r := range levels {
		for _, g := range levels {
			for _, b := range levels {
				colours = append(colours, RGB{r, g, b})
			}
		}
	}
	return colours
}

func TestEveryColourComesBack(t *testing.T) {
	for _, c := range grid() {
		requireNear(t, c.parts(), c.XYZ().RGB().parts(), 1e-6, "XYZ and back of %v", c)
		requireNear(t, c.parts(), c.Lab().RGB().parts(), 1e-6, "Lab and back of %v", c)
		lch, ok := c.LCh()
		if ok {
			requireNear(t, c.parts(), lch.Lab().RGB().parts(), 1e-6, "LCh and back of %v", c)
			require.True(t, lch.H >= 0 && lch.H < 360 && lch.C > Achromatic)
		}
		hsl, ok := c.HSL()
		require.True(t, hsl.H >= 0 && hsl.H < 360 && hsl.S >= 0, "%v is %v", c, hsl)
		if hsl.L == 0 || hsl.L == 1 { // black or white by lightness, whatever the rest: CSS Color 4
			require.Zero(t, hsl.S)
			continue
		}
		requireNear(t, c.parts(), hsl.RGB().parts(), 1e-9, "HSL and back of %v", c)
		if !ok {
			require.True(t, c.R == c.G && c.G == c.B)
		}
	}
}

// CSS Color 4, rgbToHsl: a colour so far out of gamut that saturation would be
// negative turns its hue by 180 degrees.
func TestHSLFarOutOfGamut(t *testing.T) {
	hsl, ok := RGB{-0.5, 0.1, 0.1}.HSL() // lightness -0.2
	require.True(t, ok)
	requireHue(t, 0, hsl.H, 1e-9, "cyan of negative light is red turned")
	assert.InDelta(t, 1.5, hsl.S, 1e-12)
	assert.InDelta(t, -0.2, hsl.L, 1e-12)
}

func TestTransferFunctionIsRisingAndOdd(t *testing.T) {
	last := math.Inf(-1)
	for i := -1500; i <= 1500; i++ {
		v := float64(i) / 1000
		require.Greater(t, Linear(v), last, "%v", v)
		last = Linear(v)
		require.Equal(t, -Linear(v), Linear(-v))
		require.InDelta(t, v, Encoded(Linear(v)), 1e-7, "%v and back; the printed thresholds meet to 1e-7 only", v)
		require.InDelta(t, (Linear(v+1e-6)-Linear(v-1e-6))/2e-6, linearSlope(v), 2e-3, "slope at %v", v)
	}
}

func TestDeltaEIsAFairMeasure(t *testing.T) {
	colours := grid()
	for i, c := range colours {
		d := colours[(i*7+13)%len(colours)].Lab()
		there, back := c.Lab().DeltaE(d), d.DeltaE(c.Lab())
		require.InDelta(t, there, back, 1e-9, "%v", c)
		require.GreaterOrEqual(t, there, 0.0)
	}
}

func TestDegrees(t *testing.T) {
	for in, want := range map[Degrees]Degrees{0: 0, 359.5: 359.5, 360: 0, 725: 5, -1: 359, -720: 0, -1e-20: 0} {
		assert.Equal(t, want, in.Norm(), "%v", in)
	}
	for _, arc := range [][3]Degrees{{10, 350, -20}, {350, 10, 20}, {0, 180, 180}, {180, 0, 180}, {90, 90, 0}, {-30, 400, 70}} {
		assert.Equal(t, arc[2], arc[0].ArcTo(arc[1]), "%v", arc)
	}
}
