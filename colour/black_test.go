package colour

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

func TestBlackFrom(t *testing.T) {
	requireNear(t, [3]float64{0.018, 0.18, 0}, BlackFrom([3]float64{0.02, 0.2, -0.01}), 1e-15, "nine tenths")
}

// Darkest is the mean of the darkest twentieth by luminance, or of nine pixels.
func TestDarkest(t *testing.T) {
	const w, h = 40, 40
	m := NewImage(w, h)
	for i := range m.R.Pix {
		m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = 0.5, 0.6, 0.7
	}
	dark := RGB{0.2, 0.3, 0.4}
	for y := 18; y < 26; y++ { // more than a twentieth of the disc
		for x := 15; x < 25; x++ {
			i := y*w + x
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = float32(dark.R), float32(dark.G), float32(dark.B)
		}
	}
	want := [3]float64{Linear(float64(float32(0.2))), Linear(float64(float32(0.3))), Linear(float64(float32(0.4)))}
	light, n := Neutral().Darkest(m, 20, 20, 15)
	pixels := 0
	EachInDisc(20, 20, 15, w, h, func(int, int) { pixels++ })
	require.Equal(t, pixels, n)
	requireNear(t, want, light, 1e-12, "the dark thing")

	// One black pixel, as noise makes it, counts as one of nine.
	m.R.Pix[20*w+20], m.G.Pix[20*w+20], m.B.Pix[20*w+20] = 0, 0, 0
	light, _ = Neutral().Darkest(m, 20, 20, 3)
	for c := range want {
		assert.InDelta(t, want[c]*8/9, light[c], 1e-12)
	}
	m.R.Pix[20*w+20] = float32(math.NaN())
	light, _ = Neutral().Darkest(m, 20, 20, 3)
	requireNear(t, want, light, 1e-12, "what is no number does not count")

	_, n = Neutral().Darkest(m, 80, 20, 3)
	require.Zero(t, n)
}

// Black is taken off as it is, whatever the path, in place of the veil.
func TestBlackTakesTheVeilsPlace(t *testing.T) {
	black := [3]float64{0.01, 0.06, 0.08}
	b := Neutral()
	b.Black = black
	require.False(t, b.IsNeutral())
	assert.Equal(t, black, b.Steps().Haze)
	assert.Equal(t, [3]float64{1, 1, 1}, b.Steps().Scale)
	c := b.Colour(RGB{Encoded(0.21), Encoded(0.26), Encoded(0.06)})
	requireNear(t, [3]float64{Encoded(0.2), Encoded(0.2), 0}, c.parts(), 1e-12, "less black, at least 0")

	wet := b
	wet.Beta, wet.Path, wet.Veil = [3]float64{0.4, 0.1, 0.1}, 3, [3]float64{0.1, 0.2, 0.3}
	assert.Equal(t, black, wet.Steps().Haze)
	veiled := wet
	veiled.Black = [3]float64{}
	assert.NotEqual(t, black, veiled.Steps().Haze)
	assert.Equal(t, veiled.Steps().Scale, wet.Steps().Scale, "the water's colour is taken away all the same")
}

// A chart's six greys (X-Rite 2016, see testdata) beside a shadow of 0.5 %, through water of
// every type of Jerlov's (see WaterType), at a path that nobody knows and with noise: grey
// by the middle patch alone leaves the haze on the others; with black from the shadow they
// are nearer to what they are.
func TestBlackBringsAChartsGreysNearer(t *testing.T) {
	var greys []RGB
	for _, row := range testdata.Table(t, "colorchecker24.csv") {
		if row.Number("no") >= 19 {
			code := triple(row, "R8", "G8", "B8")
			greys = append(greys, RGB{code[0] / 255, code[1] / 255, code[2] / 255})
		}
	}
	require.Len(t, greys, 6)
	shadow := Encoded(0.005)
	seen := append(slices.Clone(greys), RGB{shadow, shadow, shadow})
	const patch = 24
	rng := rand.New(rand.NewPCG(24, 6))
	var without, with float64
	for _, water := range waterTypes {
		for _, path := range []float64{1, 2, 4} {
			m := NewImage(patch*len(seen), patch)
			for c, p := range m.planes() {
				through := math.Pow(water.Residual[c], path)
				veil := []float64{0.02, 0.12, 0.15}[c] * (1 - through)
				for i := range p.Pix {
					v := Linear(seen[i%p.W/patch].parts()[c])*through + veil
					p.Pix[i] = float32(Encoded(v) + 0.004*rng.NormFloat64())
				}
			}
			before, after := off(t, m, Neutral(), greys, patch), 0.0
			b := Neutral()
			darkest, n := b.Darkest(m, 6.5*patch, patch/2, patch/2)
			require.Positive(t, n)
			b.Black = BlackFrom(darkest)
			after = off(t, m, b, greys, patch)
			assert.Less(t, after, before, "type %s, %v m", water.Name, path)
			without, with = without+before, with+after
		}
	}
	n := float64(3 * len(waterTypes))
	t.Logf("greys off by %.1f dE00 with grey alone, %.1f with black too", without/n, with/n)
	assert.Less(t, with, 0.5*without)
}

// off is the mean CIEDE2000 of the greys after a base that the middle patch, neutral 5, is
// balanced by and brought to its lightness.
func off(t *testing.T, m *Image, b Base, greys []RGB, patch float64) (mean float64) {
	t.Helper()
	light := func(i int) [3]float64 {
		v, _ := b.Sample(m, (float64(i)+0.5)*patch, patch/2, patch/3)
		return v
	}
	b, err := b.PickGrey(light(3))
	if err != nil { // red is lost in the murkiest water: the chart is what it is
		b.Gains = [3]float64{1, 1, 1}
	}
	b.Exposure = math.Log2(Linear(greys[3].G) / Linear(b.LightColour(light(3)).G))
	for i, g := range greys {
		mean += b.LightColour(light(i)).Lab().DeltaE(g.Lab()) / float64(len(greys))
	}
	return mean
}
