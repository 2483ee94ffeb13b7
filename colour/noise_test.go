package colour

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// slowNoise is the formula of Immerkaer 1996 as printed.
func slowNoise(p Plane) float64 {
	mask := [3][3]float64{{1, -2, 1}, {-2, 4, -2}, {1, -2, 1}}
	var sum float64
	for y := 1; y < p.H-1; y++ {
		for x := 1; x < p.W-1; x++ {
			var v float64
			for dy := range mask {
				for dx := range mask[dy] {
					v += mask[dy][dx] * float64(p.At(x+dx-1, y+dy-1))
				}
			}
			sum += math.Abs(v)
		}
	}
	return math.Sqrt(math.Pi/2) / (6 * float64(p.W-2) * float64(p.H-2)) * sum
}

func TestNoiseFollowsTheFormula(t *testing.T) {
	for _, size := range [][2]int{{3, 3}, {4, 3}, {3, 9}, {67, 41}, {200, 130}} {
		for _, sigma := range []float64{0, 0.004, 0.05} {
			m := testPicture(size[0], size[1], sigma, 5)
			got := Noise(m)
			for c, p := range m.planes() {
				assert.InDelta(t, slowNoise(p), got[c], 1e-7, "%v, sigma %v, channel %d", size, sigma, c)
			}
		}
	}
}

// The estimator's purpose: independent Gaussian noise on a plane ramp comes
// out as its own sigma.
func TestNoiseFindsSigma(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	want := [3]float64{0.005, 0.02, 0.08}
	m := NewImage(400, 300)
	for c, p := range m.planes() {
		for i := range p.Pix {
			ramp := 0.2 + float64(i%p.W)/800 + float64(i/p.W)/900
			p.Pix[i] = float32(ramp + want[c]*rng.NormFloat64())
		}
	}
	got := Noise(m)
	for c := range want {
		assert.InEpsilon(t, want[c], got[c], 0.01, "channel %d", c)
	}
}

func TestNoiseOfAwkwardPictures(t *testing.T) {
	for _, size := range [][2]int{{0, 0}, {1, 1}, {2, 50}, {50, 2}} {
		assert.Equal(t, [3]float64{}, Noise(NewImage(size[0], size[1])), "%v", size)
	}
	m := testPicture(60, 40, 0.02, 9)
	whole := Noise(m)
	m.R.Pix[60*20+30] = float32(math.NaN())
	m.G.Pix[60*20+30] = float32(math.Inf(1))
	got := Noise(m)
	assert.InEpsilon(t, whole[0], got[0], 0.03, "one NaN")
	assert.InEpsilon(t, whole[1], got[1], 0.03, "one infinity")
	for i := range m.B.Pix {
		m.B.Pix[i] = float32(math.NaN())
	}
	assert.Zero(t, Noise(m)[2], "nothing but NaN")
}

func TestMedianNoise(t *testing.T) {
	assert.Equal(t, [3]float64{}, MedianNoise(nil))
	assert.Equal(t, [3]float64{1, 2, 3}, MedianNoise([][3]float64{{1, 2, 3}}))
	assert.Equal(t, [3]float64{2, 5, 3}, MedianNoise([][3]float64{{1, 5, 9}, {2, 9, 3}, {50, 1, 1}}))
	assert.Equal(t, [3]float64{1.5, 1.5, 1.5}, MedianNoise([][3]float64{{1, 2, 1}, {2, 1, 2}}))
}
