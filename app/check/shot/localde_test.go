package shot

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// The local dE at the nearest node against dE00 itself, of colours up to 10 apart.
func TestLocalDE(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	all, worst, squares, n := localDEs(), 0.0, 0.0, 0
	for n < 20000 {
		c := colour.RGB{R: rng.Float64(), G: rng.Float64(), B: rng.Float64()}
		size := 0.1 * rng.Float64()
		d := colour.RGB{R: c.R + size*rng.NormFloat64(), G: c.G + size*rng.NormFloat64(), B: c.B + size*rng.NormFloat64()}
		if min(d.R, d.G, d.B) < 0 || max(d.R, d.G, d.B) > 1 {
			continue
		}
		want := c.Lab().DeltaE(d.Lab())
		if want < 0.5 || want > 10 {
			continue
		}
		n++
		m := localDENear(all, float32(c.R+d.R)/2, float32(c.G+d.G)/2, float32(c.B+d.B)/2)
		off := math.Sqrt(float64(m.square(float32(d.R-c.R), float32(d.G-c.G), float32(d.B-c.B))))/want - 1
		squares += off * off
		worst = max(worst, math.Abs(off))
	}
	t.Logf("off by %.1f %% in the root mean square, %.0f %% at most", 100*math.Sqrt(squares/float64(n)), 100*worst)
	assert.Less(t, math.Sqrt(squares/float64(n)), 0.05)
}

func noisy(rng *rand.Rand, w, h int, sigma float64, of func(x int) colour.RGB) *colour.Image {
	m := colour.NewImage(w, h)
	for y := range h {
		for x := range w {
			c := of(x)
			m.R.Row(y)[x] = float32(c.R + sigma*rng.NormFloat64())
			m.G.Row(y)[x] = float32(c.G + sigma*rng.NormFloat64())
			m.B.Row(y)[x] = float32(c.B + sigma*rng.NormFloat64())
		}
	}
	return m
}

// What smoothing leaves of noise is measured on even ground, and in the two columns to
// each side of an edge that stays.
func TestNoiseAfterSmooth(t *testing.T) {
	const w, h = 80, 400
	edge := func(x int) colour.RGB {
		if x < w/2 {
			return colour.RGB{R: 0.3, G: 0.3, B: 0.3}
		}
		return colour.RGB{R: 0.8, G: 0.7, B: 0.5}
	}
	for _, sigma := range []float64{0.003, 0.01, 0.03} {
		rng := rand.New(rand.NewPCG(7, 1))
		noise := [3]float64{sigma, sigma, sigma}
		var smoothed [2]colour.Image
		for i := range smoothed {
			require.NoError(t, colour.SmoothNoise(t.Context(), &smoothed[i], noisy(rng, w, h, sigma, edge), noise, 1))
		}
		left := func(x0, x1 int) float64 {
			sum, n := 0.0, 0
			for y := 3; y < h-3; y++ {
				for x := x0; x < x1; x++ {
					sum += sq(float64(smoothed[1].G.At(x, y) - smoothed[0].G.At(x, y)))
					n++
				}
			}
			return math.Sqrt(sum/2/float64(n)) / sigma
		}
		even, beside := left(5, 30), left(w/2-2, w/2+2)
		t.Logf("noise %.3f: %.3f of it left on even ground, %.3f beside an edge", sigma, even, beside)
		assert.Less(t, even, smoothedNoise)
		assert.InDelta(t, smoothedNoise, beside, 0.01)
	}
}

// Of two pictures that differ by their noise alone, nearly all pixels stand still,
// through a base that multiplies the noise as well; of those that differ by four
// sigmas more, few.
func TestNoiseExplainsNoise(t *testing.T) {
	strong := colour.Neutral()
	strong.Gains, strong.Veil, strong.Beta, strong.Path = [3]float64{2.5, 1, 0.9}, [3]float64{0.01, 0.05, 0.06}, [3]float64{0.4, 0.08, 0.05}, 3
	strong.Exposure = 0.6
	for name, base := range map[string]colour.Base{"neutral": colour.Neutral(), "strong": strong} {
		for _, sigma := range []float64{0.002, 0.01} {
			rng := rand.New(rand.NewPCG(3, 3))
			ground := func(x int) colour.RGB {
				return colour.RGB{R: 0.15 + float64(x)/800, G: 0.35 + float64(x)/700, B: 0.4 + float64(x)/900}
			}
			shifted := func(x int) colour.RGB {
				c := ground(x)
				return colour.RGB{R: c.R + 0.05 + 6*sigma, G: c.G, B: c.B - 0.05 - 6*sigma}
			}
			n, err := newNoiseAfterBase(base, [3]float64{sigma, sigma, sigma})
			require.NoError(t, err)
			still := func(to func(x int) colour.RGB) float64 {
				a, b := noisy(rng, 300, 60, sigma, ground), noisy(rng, 300, 60, sigma, to)
				require.NoError(t, base.Apply(t.Context(), a, a, 1))
				require.NoError(t, base.Apply(t.Context(), b, b, 1))
				count := 0
				for i := range a.R.Pix {
					if n.explains(a.R.Pix[i], a.G.Pix[i], a.B.Pix[i], b.R.Pix[i], b.G.Pix[i], b.B.Pix[i]) {
						count++
					}
				}
				return float64(count) / float64(len(a.R.Pix))
			}
			same, moved := still(ground), still(shifted)
			t.Logf("%s, noise %.3f: %.3f of the pixels stand still, %.3f of those moved", name, sigma, same, moved)
			assert.Greater(t, same, 0.97)
			assert.Less(t, moved, 0.02)
		}
	}
}
