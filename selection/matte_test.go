package selection

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// slowMatte is the definition: every pixel by itself, in float64.
func slowMatte(p Pick, src *colour.Image) colour.Plane {
	w, h := src.Size()
	dst := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			dst.Row(y)[x] = float32(p.Weight(p.At(src.RGB(x, y))))
		}
	}
	return dst
}

// awkwardImage has noise, greys, near-greys, primaries and values outside [0,1].
func awkwardImage(rng *rand.Rand, w, h int) *colour.Image {
	m := colour.NewImage(w, h)
	for i := range m.R.Pix {
		v := rng.Float32()
		switch rng.IntN(6) {
		case 0:
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = v, v, v
		case 1:
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = v, v+0.004*rng.Float32(), v+0.004*rng.Float32()
		case 2:
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = float32(rng.IntN(2)), float32(rng.IntN(2)), float32(rng.IntN(2))
		case 3:
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = 1.4*rng.Float32()-0.2, 1.4*rng.Float32()-0.2, 1.4*rng.Float32()-0.2
		default:
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = v, rng.Float32(), rng.Float32()
		}
	}
	return m
}

// randomPick draws ranges of every width, with hard edges, inverted and off.
func randomPick(rng *rand.Rand, m Model) Pick {
	p := Pick{Model: m, Normal: randomNormal(rng)}
	for c := range Channels {
		lo, hi := span(m, c)
		l := &p.Limits[c]
		a, b := lo+(hi-lo)*rng.Float64(), lo+(hi-lo)*rng.Float64()
		if c != Hue && a > b {
			a, b = b, a
		}
		l.From, l.To = a, b
		for _, fade := range []*float64{&l.Before, &l.After} {
			*fade = (hi - lo) * []float64{0, 0.001, 0.02, 0.1, 0.5}[rng.IntN(5)] * rng.Float64()
		}
		l.Off, l.Inverted = rng.IntN(6) == 0, rng.IntN(6) == 0
	}
	return p
}

// randomNormal draws a direction, every one alike.
func randomNormal(rng *rand.Rand) (n [3]float64) {
	length := 0.0
	for i := range n {
		n[i] = rng.NormFloat64()
		length += n[i] * n[i]
	}
	for i := range n {
		n[i] /= math.Sqrt(length)
	}
	return n
}

func TestFastMatteIsWithinAThousandthOfTheFormula(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	src := awkwardImage(rng, 120, 90)
	var codes Codes
	var kept colour.Plane
	w := new(Weigher)
	rounds := 150
	if testing.Short() {
		rounds = 20
	}
	for i := range rounds {
		p := randomPick(rng, Model(i%int(Models)))
		w.Set(p)
		require.NoError(t, codes.Convert(t.Context(), src, p, 2))
		require.NoError(t, w.Matte(t.Context(), &kept, &codes, 2))
		want := slowMatte(p, src)
		for k := range want.Pix {
			if math.Abs(float64(want.Pix[k]-kept.Pix[k])) > 0.001 {
				t.Fatalf("%+v: colour %v weighs %g, want %g", p, src.RGB(k%120, k/120), kept.Pix[k], want.Pix[k])
			}
		}
	}
}

// matteOf weighs a picture's codes.
func matteOf(ctx context.Context, w *Weigher, dst *colour.Plane, src *colour.Image, workers int) error {
	var codes Codes
	if err := codes.Convert(ctx, src, w.pick, workers); err != nil {
		return err
	}
	return w.Matte(ctx, dst, &codes, workers)
}

func TestMatteHasTheSameBitsForAnyNumberOfWorkers(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	src := awkwardImage(rng, 333, 111)
	w := new(Weigher)
	var want, got colour.Plane
	for m := range Models {
		w.Set(randomPick(rng, m))
		require.NoError(t, matteOf(t.Context(), w, &want, src, 1))
		for _, workers := range []int{2, 7} {
			require.NoError(t, matteOf(t.Context(), w, &got, src, workers))
			require.Equal(t, want.Pix, got.Pix, "%v, %d workers", m, workers)
		}
	}
}

func TestMatteStopsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var dst colour.Plane
	w := new(Weigher)
	w.Set(Pick{})
	require.ErrorIs(t, matteOf(ctx, w, &dst, colour.NewImage(64, 64), 2), context.Canceled)
}

func TestOneWeigherFollowsEveryChange(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	src := awkwardImage(rng, 40, 40)
	kept := new(Weigher)
	p := randomPick(rng, HSL)
	for range 30 {
		p.Limits[rng.IntN(3)] = randomPick(rng, HSL).Limits[rng.IntN(3)]
		if rng.IntN(5) == 0 {
			p = randomPick(rng, Model(rng.IntN(int(Models))))
		}
		kept.Set(p)
		fresh := new(Weigher)
		fresh.Set(p)
		var a, b colour.Plane
		require.NoError(t, matteOf(t.Context(), kept, &a, src, 1))
		require.NoError(t, matteOf(t.Context(), fresh, &b, src, 1))
		require.Equal(t, b.Pix, a.Pix)
	}
}

// sharpPick draws narrow and hard ranges whose ends lie on, or a hair beside,
// colours of the picture: where tables and codes have least room.
func sharpPick(rng *rand.Rand, m Model, src *colour.Image) Pick {
	w, h := src.Size()
	p := Pick{Model: m, Normal: randomNormal(rng)}
	for c := range Channels {
		lo, hi := span(m, c)
		l := &p.Limits[c]
		l.Off = rng.IntN(3) == 0
		ends := [2]float64{}
		for i := range ends {
			ends[i] = p.At(src.RGB(rng.IntN(w), rng.IntN(h)))[c] + []float64{0, 0, 1e-12, -1e-12, 1e-6, -1e-6}[rng.IntN(6)]
		}
		l.From, l.To = ends[0], ends[1]
		if c != Hue && l.From > l.To || rng.IntN(3) == 0 {
			l.To = l.From
		}
		for _, fade := range []*float64{&l.Before, &l.After} {
			*fade = (hi - lo) * []float64{0, 0, 1e-9, 1e-6, 1e-4, 0.003, 0.3}[rng.IntN(7)]
		}
		l.Inverted = rng.IntN(6) == 0
	}
	return p
}

// codesImage has 8-bit colours: primaries, greys and the codes beside them, and
// any others.
func codesImage(rng *rand.Rand, w, h int) *colour.Image {
	m := colour.NewImage(w, h)
	for i := range m.R.Pix {
		base := rng.IntN(256)
		for _, p := range []*colour.Plane{&m.R, &m.G, &m.B} {
			code := base
			switch i % 4 {
			case 1:
				code = min(255, base+rng.IntN(3))
			case 2:
				code = 255 * rng.IntN(2)
			case 3:
				code = rng.IntN(256)
			}
			p.Pix[i] = colour.FromCode8(uint8(code))
		}
	}
	return m
}

func TestFastMatteAtHardEdgesOnTheCodes(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 2))
	var got colour.Plane
	w := new(Weigher)
	rounds := 400
	if testing.Short() {
		rounds = 60
	}
	for i := range rounds {
		src := codesImage(rng, 48, 48)
		p := sharpPick(rng, Model(i%int(Models)), src)
		w.Set(p)
		require.NoError(t, matteOf(t.Context(), w, &got, src, 1))
		for k, want := range slowMatte(p, src).Pix {
			if !(math.Abs(float64(want-got.Pix[k])) <= 0.001) {
				t.Fatalf("%+v: colour %v, %v, weighs %g, want %g", p, src.RGB(k%48, k/48), p.At(src.RGB(k%48, k/48)), got.Pix[k], want)
			}
		}
	}
}

// A table that asks, times another, times a weight of next to nothing must not
// pass for a weight.
func TestTablesTellNoWeightBelowTheLeast(t *testing.T) {
	table := new(table)
	// 50.5 is the middle of a code of L*: there the fade begins.
	Limit{Range: Range{From: 60, To: 70, Before: 9.5 + 1e-9}}.tabulate(table, LCh, Light)
	for code, w := range table {
		require.False(t, w > 0 && w < leastWeight, "code %d weighs %g", code, w)
	}
}

func TestWeigherTakesAnyLimitsAndPixels(t *testing.T) {
	odd := []float64{0, 1, -1, 0.5, 360, 1e5, -1e7, 1e300, -1e300, math.MaxFloat64, -math.MaxFloat64, math.Inf(1), math.Inf(-1), math.NaN()}
	rng := rand.New(rand.NewPCG(8, 2))
	any := func() float64 { return odd[rng.IntN(len(odd))] }
	src := awkwardImage(rng, 16, 16)
	for i := range 40 {
		src.R.Pix[i], src.G.Pix[i%7] = float32(any()), float32(any())
	}
	w := new(Weigher)
	var dst colour.Plane
	for i := range 600 {
		p := Pick{Model: Model(i % int(Models)), Normal: randomNormal(rng)}
		for c := range p.Limits {
			p.Limits[c] = Limit{Range: Range{From: any(), To: any(), Before: any(), After: any()}, Off: rng.IntN(3) == 0, Inverted: rng.IntN(2) == 0}
		}
		w.Set(p)
		require.NoError(t, matteOf(t.Context(), w, &dst, src, 1))
		for k, v := range dst.Pix {
			require.True(t, v >= 0 && v <= 1, "%+v: colour %v weighs %v", p, src.RGB(k%16, k/16), v)
		}
	}
}

// What the fast conversion does with a pixel that is not finite, the formula does.
func TestPixelsThatAreNotFiniteWeighAsByTheFormula(t *testing.T) {
	src := colour.NewImage(6, 1)
	for x, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		src.R.Pix[x], src.G.Pix[x], src.B.Pix[x] = float32(v), 0.5, 0.25
		src.R.Pix[3+x], src.G.Pix[3+x], src.B.Pix[3+x] = float32(v), float32(v), float32(v)
	}
	rng := rand.New(rand.NewPCG(9, 2))
	for i := range 200 {
		p := randomPick(rng, Model(i%int(Models)))
		for c := Sat; c <= Light; c++ {
			p.Limits[c].From = 0
		}
		w := new(Weigher)
		w.Set(p)
		var dst colour.Plane
		require.NoError(t, matteOf(t.Context(), w, &dst, src, 1))
		for x, want := range slowMatte(p, src).Pix {
			require.InDelta(t, want, dst.Pix[x], 0.001, "%+v: colour %v", p, src.RGB(x, 0))
		}
	}
}

func TestCodesOfAnotherModelAreTheCallersMistake(t *testing.T) {
	var codes Codes
	require.NoError(t, codes.Convert(t.Context(), colour.NewImage(2, 2), Pick{}, 1))
	w := new(Weigher)
	w.Set(Pick{Model: LCh})
	var dst colour.Plane
	require.Panics(t, func() { _ = w.Matte(t.Context(), &dst, &codes, 1) })

	one, other := Pick{Model: PlaneModel, Normal: [3]float64{1, 0, 0}}, Pick{Model: PlaneModel, Normal: [3]float64{0, 1, 0}}
	require.NoError(t, codes.Convert(t.Context(), colour.NewImage(2, 2), one, 1))
	w.Set(other)
	require.Panics(t, func() { _ = w.Matte(t.Context(), &dst, &codes, 1) }, "of another plane")
	w.Set(one)
	require.NoError(t, w.Matte(t.Context(), &dst, &codes, 1))
}
