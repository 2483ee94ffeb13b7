package check

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/scene"
	"halocline/colour"
)

// flat is a picture of one colour with noise of known deviations.
func flat(w, h int, c colour.RGB, noise [3]float64) *colour.Image {
	rng := rand.New(rand.NewPCG(9, 1))
	m := colour.NewImage(w, h)
	for i := range m.R.Pix {
		m.R.Pix[i] = float32(c.R + noise[0]*rng.NormFloat64())
		m.G.Pix[i] = float32(c.G + noise[1]*rng.NormFloat64())
		m.B.Pix[i] = float32(c.B + noise[2]*rng.NormFloat64())
	}
	return m
}

func whole(w, h int) colour.Plane {
	p := colour.NewPlane(w, h)
	for i := range p.Pix {
		p.Pix[i] = 1
	}
	return p
}

// noiseGrades are such as a person tries through a matte, and far ones.
func noiseGrades() map[string]colour.CDL {
	flat := [3]float64{1, 1, 1}
	return map[string]colour.CDL{
		"warm, lighter": {Slope: [3]float64{1.15, 1.05, 0.92}, Offset: [3]float64{0.01, 0, 0}, Power: [3]float64{0.9, 0.92, 0.95}, Saturation: 1.1},
		"darker":        {Slope: [3]float64{0.8, 0.85, 0.95}, Power: [3]float64{1.1, 1.1, 1.1}, Saturation: 1},
		"colourful":     {Slope: flat, Power: flat, Saturation: 1.8},
		"pale":          {Slope: flat, Power: flat, Saturation: 0.3},
		"contrast":      {Slope: [3]float64{1.2, 1.2, 1.2}, Power: [3]float64{1.6, 1.6, 1.6}, Saturation: 1.2},
		"lifted":        {Slope: [3]float64{0.9, 0.9, 0.9}, Offset: [3]float64{0.1, 0.1, 0.1}, Power: [3]float64{0.75, 0.75, 0.75}, Saturation: 1},
	}
}

func TestNoiseOfFlatPictures(t *testing.T) {
	noise := [3]float64{0.01, 0.01, 0.01}
	m := flat(40, 40, colour.RGB{R: 0.4, G: 0.45, B: 0.3}, [3]float64{})
	predict := func(d colour.CDL) *NoiseChange {
		n, err := PredictNoise(m, whole(40, 40), colour.Neutral(), noise, d)
		require.NoError(t, err)
		return n
	}
	neutral := predict(colour.NeutralCDL())
	assert.Zero(t, neutral.Decibels)
	for c := range 3 {
		assert.InDelta(t, 0.01, neutral.Before[c], 1e-5)
		assert.InDelta(t, 0.01, neutral.After[c], 1e-5)
	}
	double := colour.NeutralCDL()
	double.Slope = [3]float64{2, 2, 2}
	assert.InDelta(t, 20*math.Log10(2), predict(double).Decibels, 1e-3)
	grey := colour.NeutralCDL()
	grey.Saturation = 0
	// Three equal channels of noise become one luma: the root of the sum of the squared weights of BT.709.
	assert.InDelta(t, 20*math.Log10(math.Sqrt(0.2126*0.2126+0.7152*0.7152+0.0722*0.0722)), predict(grey).Decibels, 1e-3)
	square := colour.NeutralCDL()
	square.Power = [3]float64{2, 1, 1}
	assert.InDelta(t, 0.8*0.01, predict(square).After[0], 1e-5, "2x at 0.4")
	black := colour.NeutralCDL()
	black.Offset = [3]float64{-1, -1, -1}
	assert.Nil(t, predict(black))
	n, err := PredictNoise(m, colour.NewPlane(40, 40), colour.Neutral(), noise, grey)
	require.NoError(t, err)
	assert.Nil(t, n, "the matte is empty")
	n, err = PredictNoise(m, whole(40, 40), colour.Neutral(), [3]float64{}, grey)
	require.NoError(t, err)
	assert.Nil(t, n, "no noise is stored")
	bad := colour.Neutral()
	bad.Contrast = 0
	_, err = PredictNoise(m, whole(40, 40), bad, noise, grey)
	assert.Error(t, err)
	assert.Panics(t, func() { _, _ = PredictNoise(m, whole(4, 4), colour.Neutral(), noise, grey) })
}

// deviation is the root mean square, over R, G and B, of what noise changes where
// a matte is above 0.9.
func deviation(clean, noisy *colour.Image, matte colour.Plane) float64 {
	var sum float64
	n := 0
	for i, a := range matte.Pix {
		if a < 0.9 {
			continue
		}
		n++
		for _, p := range [][2]colour.Plane{{noisy.R, clean.R}, {noisy.G, clean.G}, {noisy.B, clean.B}} {
			d := float64(p[0].Pix[i] - p[1].Pix[i])
			sum += d * d
		}
	}
	return math.Sqrt(sum / float64(3*n))
}

// dried takes the water out of a frame by its slate and its open water.
func dried(t *testing.T, f *scene.Frame) colour.Base {
	water, err := colour.WaterByName("IB")
	require.NoError(t, err)
	b := colour.Neutral()
	b.Beta, b.Path = water.Beta(), 2
	open, _ := b.Sample(f.Image, f.OpenWater.X, f.OpenWater.Y, f.OpenWater.Radius)
	b.Veil = colour.VeilFrom(open)
	slate, _ := b.Sample(f.Image, f.Slate.X, f.Slate.Y, f.Slate.Radius)
	b, err = b.PickGrey(slate)
	require.NoError(t, err)
	return b
}

// bright is dried and so light that highlights are clamped or in the shoulder.
func bright(t *testing.T, f *scene.Frame) colour.Base {
	b := dried(t, f)
	b.Exposure = 1.5
	return b
}

// Noise of the stored deviations is added to the sample, and both pictures go
// through base and grade: the root mean square of their difference before and
// after the grade is the noise that the prediction speaks of.
func TestPredictedNoiseOnTheSample(t *testing.T) {
	worst, sum, n := 0.0, 0.0, 0
	for seed := 1; seed <= 3; seed++ {
		frame, err := scene.Render(t.Context(), seed, 1, 480, 270, 0)
		require.NoError(t, err)
		noise := colour.Noise(frame.Image)
		grain := flat(480, 270, colour.RGB{}, noise)
		noisy := colour.NewImage(480, 270)
		for i := range noisy.R.Pix {
			noisy.R.Pix[i] = frame.Image.R.Pix[i] + grain.R.Pix[i]
			noisy.G.Pix[i] = frame.Image.G.Pix[i] + grain.G.Pix[i]
			noisy.B.Pix[i] = frame.Image.B.Pix[i] + grain.B.Pix[i]
		}
		for baseName, base := range map[string]colour.Base{"flat": colour.Neutral(), "dry": dried(t, frame), "bright": bright(t, frame)} {
			var shown, shownNoisy colour.Image
			require.NoError(t, base.Apply(t.Context(), &shown, frame.Image, 0))
			require.NoError(t, base.Apply(t.Context(), &shownNoisy, noisy, 0))
			for matteName, matte := range map[string]colour.Plane{"skin": frame.Skin, "sand": frame.Sand, "water": frame.Water} {
				before := deviation(&shown, &shownNoisy, matte)
				for name, d := range noiseGrades() {
					var graded, gradedNoisy colour.Image
					require.NoError(t, d.Apply(t.Context(), &graded, &shown, 0))
					require.NoError(t, d.Apply(t.Context(), &gradedNoisy, &shownNoisy, 0))
					measured := 20 * math.Log10(deviation(&graded, &gradedNoisy, matte)/before)
					predicted, err := PredictNoise(&shown, matte, base, noise, d)
					require.NoError(t, err)
					miss := math.Abs(predicted.Decibels - measured)
					worst, sum, n = max(worst, miss), sum+miss, n+1
					if miss > 0.3 {
						t.Logf("seed %d, %s base, %s, %s: predicted %.2f dB, measured %.2f; noise %.4f, %.4f", seed, baseName, matteName, name, predicted.Decibels, measured, before, predicted.Before)
					}
				}
			}
		}
	}
	t.Logf("%d cases: worst %.2f dB off, mean %.2f", n, worst, sum/float64(n))
	assert.Less(t, worst, 0.5)
}
