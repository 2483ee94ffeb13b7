package colour

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spread is how far R, G and B of linear light lie apart, over the largest.
func spread(light [3]float64) float64 {
	high := max(light[0], light[1], light[2])
	return (high - min(light[0], light[1], light[2])) / high
}

func times(a, b [3]float64) (c [3]float64) {
	for i := range c {
		c[i] = a[i] * b[i]
	}
	return c
}

func TestPickGreyMakesGrey(t *testing.T) {
	coast, err := WaterByName("5C")
	require.NoError(t, err)
	wet := Neutral()
	wet.Beta, wet.Path, wet.Veil = coast.Beta(), 2, [3]float64{0.01, 0.1, 0.12}
	wet.Gains = [3]float64{3, 3, 3} // what was there before does not matter
	for name, b := range map[string]Base{"dry": Neutral(), "wet": wet} {
		for _, sample := range [][3]float64{{0.06, 0.2, 0.24}, {0.2, 0.2, 0.2}, {0.4, 0.15, 0.15}} {
			got, err := b.PickGrey(sample)
			require.NoError(t, err)
			dry := b.withoutWater(sample)
			balanced := times(dry, got.Gains)
			assert.LessOrEqual(t, spread(balanced), 0.01, "%s %v", name, sample)
			assert.InDelta(t, Luminance(dry), Luminance(balanced), 1e-12, "%s %v: luminance", name, sample)
			// And through the whole base, encoded.
			c := got.Colour(RGB{Encoded(sample[0]), Encoded(sample[1]), Encoded(sample[2])})
			assert.LessOrEqual(t, spread(c.parts()), 1e-9, "%s %v: %v", name, sample, c)
			got.Gains = b.Gains
			assert.Equal(t, b, got, "nothing but the gains changes")
		}
	}
}

func TestPickGreyNamesTheChannelWithNothingLeft(t *testing.T) {
	b := Neutral()
	for channel, sample := range map[string][3]float64{
		"red":   {0, 0.2, 0.2},
		"green": {0.2, 0, 0.3},
		"blue":  {0.3, 0.2, 0.001},
	} {
		got, err := b.PickGrey(sample)
		require.ErrorContains(t, err, "colour: grey sample has nothing left in "+channel)
		assert.Equal(t, b, got)
	}
	_, err := b.PickGrey([3]float64{math.NaN(), 0.1, 0.1})
	assert.Error(t, err)
	_, err = b.PickGrey([3]float64{0.1, math.Inf(1), 0.1})
	assert.Error(t, err)
	// The veil alone is in red: water taken away, nothing is left.
	b.Beta, b.Path, b.Veil = [3]float64{0.5, 0.1, 0.1}, 4, [3]float64{0.1, 0.1, 0.1}
	_, err = b.PickGrey([3]float64{0.08, 0.2, 0.2})
	assert.ErrorContains(t, err, "red")
}

// Common practice, no source: under water warming alone leaves a grey green;
// with magenta it comes out grey.
func TestWarmingAloneLeavesGreen(t *testing.T) {
	grey := [3]float64{0.11, 0.2, 0.17}

	least, at := math.Inf(1), 0.0
	for stops := -4.0; stops <= 4; stops += 0.001 {
		if s := spread(times(grey, Warming(stops))); s < least {
			least, at = s, stops
		}
	}
	best := times(grey, Warming(at))
	assert.Greater(t, least, 0.1, "no warming alone makes it grey")
	assert.Greater(t, best[1], max(best[0], best[2])*1.1, "and green is what is left over")

	// Warming first, until red and blue are alike, then magenta against green.
	warming, magenta := 0.0, 0.0
	for range 40 {
		warming += 0.5 * math.Log2(times(grey, BalanceGains(warming, magenta, 0))[2]/times(grey, BalanceGains(warming, magenta, 0))[0])
		now := times(grey, BalanceGains(warming, magenta, 0))
		magenta += 0.5 * math.Log2(now[1]/math.Sqrt(now[0]*now[2]))
	}
	assert.LessOrEqual(t, spread(times(grey, BalanceGains(warming, magenta, 0))), 0.01)
	assert.Positive(t, warming)
	assert.Positive(t, magenta)
}

func TestGainsAreABalanceAndBack(t *testing.T) {
	for _, v := range [][3]float64{{0, 0, 0}, {1.2, -0.7, 0.4}, {-3, 2, -1}} {
		warming, magenta, light := GainsBalance(BalanceGains(v[0], v[1], v[2]))
		requireNear(t, v, [3]float64{warming, magenta, light}, 1e-12, "%v", v)
	}
	assert.Equal(t, [3]float64{1, 1, 1}, BalanceGains(0, 0, 0))
}

func TestVeilFrom(t *testing.T) {
	assert.Equal(t, [3]float64{0.02, 0.2, 0}, VeilFrom([3]float64{0.02, 0.2, -0.01}))
	assert.Equal(t, [3]float64{0, 0, 0.3}, VeilFrom([3]float64{math.NaN(), math.Inf(1), 0.3}))
}

// A disc is what the whole picture, looked at pixel by pixel, has of it.
func TestEachInDisc(t *testing.T) {
	const w, h = 23, 17
	for _, d := range [][3]float64{{11, 8, 5}, {11.5, 8.5, 5}, {0, 0, 3}, {22.9, 16.2, 4.5}, {-3, 8, 5}, {-9, 8, 5}, {5.2, 6.9, 0}, {5.2, 6.9, 0.3}, {11, 8, 99}, {30, 30, 2}} {
		var want, got [][2]int
		for y := range h {
			for x := range w {
				at := [2]float64{math.Floor(d[0]), math.Floor(d[1])} == [2]float64{float64(x), float64(y)}
				if at || math.Hypot(float64(x)+0.5-d[0], float64(y)+0.5-d[1]) <= d[2] {
					want = append(want, [2]int{x, y})
				}
			}
		}
		EachInDisc(d[0], d[1], d[2], w, h, func(x, y int) { got = append(got, [2]int{x, y}) })
		assert.Equal(t, want, got, "%v", d)
	}
	for _, d := range [][3]float64{{math.NaN(), 8, 5}, {11, 8, math.NaN()}, {math.Inf(1), 8, 5}} {
		EachInDisc(d[0], d[1], d[2], w, h, func(x, y int) { t.Errorf("%v holds %d, %d", d, x, y) })
	}
}

func TestSample(t *testing.T) {
	m := NewImage(40, 30)
	for y := range 30 {
		for x := range 40 {
			i := y*40 + x
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = 0.5, 0.25, 0.75
			if x < 20 {
				m.R.Pix[i] = 0.2
			}
		}
	}
	light, n := Neutral().Sample(m, 30, 15, 5)
	assert.InDelta(t, math.Pi*25, n, 5, "pixels in the disc")
	requireNear(t, [3]float64{Linear(0.5), Linear(0.25), Linear(0.75)}, light, 1e-7, "flat")

	light, _ = Neutral().Sample(m, 20, 15, 5) // half and half: the mean is of light, not of codes
	assert.InDelta(t, (Linear(0.5)+Linear(0.2))/2, light[0], 0.002)

	m.G.Pix[15*40+30] = 1 // a glint
	m.B.Pix[14*40+30] = float32(math.NaN())
	light, _ = Neutral().Sample(m, 30, 15, 5)
	requireNear(t, [3]float64{Linear(0.5), Linear(0.25), Linear(0.75)}, light, 1e-7, "a speck does not count")

	_, n = Neutral().Sample(m, 3.2, 4.9, 0)
	assert.Equal(t, 1, n, "radius 0 is the pixel that holds the point")
	_, n = Neutral().Sample(m, 0, 0, 1)
	assert.Equal(t, 1, n, "a corner of the picture")
	for _, at := range [][2]float64{{-9, 5}, {5, 99}, {math.NaN(), 5}} {
		light, n = Neutral().Sample(m, at[0], at[1], 3)
		assert.Zero(t, n)
		assert.Zero(t, light)
	}
}
