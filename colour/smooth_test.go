package colour

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plainSmoothNoise is the bilateral filter of Tomasi & Manduchi 1998 written as the
// formula: 5 x 5, spatial sigma 2, range sigma s, clipped at the border.
func plainSmoothNoise(dst, src *Image, s float64) {
	w, h := src.Size()
	for y := range h {
		for x := range w {
			p := src.RGB(x, y)
			var sum RGB
			var norm float64
			for v := max(0, y-2); v <= min(h-1, y+2); v++ {
				for u := max(0, x-2); u <= min(w-1, x+2); u++ {
					q := src.RGB(u, v)
					space := float64((u-x)*(u-x) + (v-y)*(v-y))
					dr, dg, db := q.R-p.R, q.G-p.G, q.B-p.B
					weight := math.Exp(-space/8 - (dr*dr+dg*dg+db*db)/(2*s*s))
					sum.R += weight * q.R
					sum.G += weight * q.G
					sum.B += weight * q.B
					norm += weight
				}
			}
			i := y*w + x
			dst.R.Pix[i] = float32(sum.R / norm)
			dst.G.Pix[i] = float32(sum.G / norm)
			dst.B.Pix[i] = float32(sum.B / norm)
		}
	}
}

func TestSmoothNoiseFollowsTheFormula(t *testing.T) {
	pictures := map[string]*Image{
		"noisy":          testPicture(97, 61, 0.03, 1),
		"clean":          testPicture(64, 50, 0, 1),
		"wild":           randomPicture(50, 40, 0, 1, 1),
		"out of gamut":   randomPicture(50, 40, -0.6, 1.7, 1),
		"near the floor": randomPicture(50, 40, 0.4, 0.6, 1),
		"one row":        testPicture(40, 1, 0.03, 2),
		"one column":     testPicture(1, 40, 0.03, 2),
		"two by three":   testPicture(2, 3, 0.03, 2),
		"one pixel":      testPicture(1, 1, 0, 2),
	}
	var far float64
	for name, src := range pictures {
		for _, noise := range [][3]float64{{}, {0.008, 0.007, 0.011}, {0.05, 0.03, 0.06}, {0.4, 0.4, 0.4}} {
			w, h := src.Size()
			want, got := NewImage(w, h), &Image{}
			plainSmoothNoise(want, src, SmoothSigma(noise))
			require.NoError(t, SmoothNoise(background, got, src, noise, 1))
			d, x, y := worst(t, got, want)
			assert.LessOrEqual(t, d, 0.0005, "%s, noise %v: at %d,%d", name, noise, x, y)
			far = max(far, d)
		}
	}
	t.Logf("worst difference %.2g", far)
}

func TestSmoothSigma(t *testing.T) {
	assert.Equal(t, 0.04, SmoothSigma([3]float64{}))
	assert.Equal(t, 0.04, SmoothSigma([3]float64{0.004, 0.004, 0.004}), "the floor counts below 0.04/6")
	assert.InDelta(t, 6*0.02, SmoothSigma([3]float64{0.02, 0.02, 0.02}), 1e-15)
	assert.InDelta(t, 6*math.Sqrt(14./3)/100, SmoothSigma([3]float64{0.01, 0.02, 0.03}), 1e-15)
	assert.Equal(t, 0.04, SmoothSigma([3]float64{math.NaN(), 0, 0}))
	assert.Equal(t, 0.04, SmoothSigma([3]float64{math.Inf(1), 0, 0}))
}

// What noise smoothing is for: the noise goes, the edge stays.
func TestSmoothNoiseKeepsEdges(t *testing.T) {
	src, got := testPicture(160, 120, 0.02, 3), &Image{}
	before := Noise(src)
	require.NoError(t, SmoothNoise(background, got, src, before, 0))
	after := Noise(got)
	for c := range before {
		assert.Less(t, after[c], before[c]/3, "channel %d", c)
	}
	// The disc's edge lies between columns 31 and 32 of row 60.
	assert.InDelta(t, 0.49, got.R.At(34, 60)-got.R.At(29, 60), 0.05)
}

func TestSmoothNoiseBitsDoNotDependOnWorkers(t *testing.T) {
	src := testPicture(150, 83, 0.03, 4)
	requireSameBits(t, func(workers int) []Plane {
		dst := &Image{}
		require.NoError(t, SmoothNoise(background, dst, src, [3]float64{0.02, 0.02, 0.02}, workers))
		return []Plane{dst.R, dst.G, dst.B}
	})
}

func TestSmootherReusesItsBuffers(t *testing.T) {
	var s Smoother
	dst := &Image{}
	big, small := testPicture(120, 70, 0.03, 4), testPicture(31, 20, 0.03, 5)
	for _, src := range []*Image{big, small, big} {
		want := &Image{}
		require.NoError(t, SmoothNoise(background, want, src, [3]float64{0.01, 0.02, 0.02}, 1))
		require.NoError(t, s.SmoothNoise(background, dst, src, [3]float64{0.01, 0.02, 0.02}, 2))
		d, _, _ := worst(t, dst, want)
		assert.Zero(t, d)
	}
	requireFrugal(t, func() {
		require.NoError(t, s.SmoothNoise(background, dst, big, [3]float64{0.01, 0.02, 0.02}, 2))
	})
}

func TestSmoothNoiseOfAwkwardInput(t *testing.T) {
	require.NoError(t, SmoothNoise(background, &Image{}, &Image{}, [3]float64{}, 0), "an empty picture")

	src := testPicture(40, 30, 0.01, 6)
	src.R.Pix[40*15+20] = float32(math.NaN())
	src.G.Pix[40*15+21] = float32(math.Inf(-1))
	got := &Image{}
	require.NoError(t, SmoothNoise(background, got, src, [3]float64{0.01, 0.01, 0.01}, 0))
	for c, p := range got.planes() {
		for i, v := range p.Pix {
			require.False(t, v-v != 0, "channel %d, sample %d is %v", c, i, v)
		}
	}
	assert.Panics(t, func() { _ = SmoothNoise(background, src, src, [3]float64{}, 1) })

	ctx, cancel := context.WithCancel(background)
	cancel()
	assert.ErrorIs(t, SmoothNoise(ctx, got, src, [3]float64{}, 2), context.Canceled)
}
