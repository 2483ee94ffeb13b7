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
			dst.Row(y)[x] = float32(p.Weight(p.Model.At(src.RGB(x, y))))
		}
	}
	return dst
}

// awkwardImage holds noise, greys, near-greys, primaries and values outside [0,1].
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
	p := Pick{Model: m}
	for c := Hue; c <= Light; c++ {
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

func TestFastMatteIsWithinAThousandthOfTheFormula(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	src := awkwardImage(rng, 120, 90)
	var codes Codes
	var kept, once colour.Plane
	w := new(Weigher)
	rounds := 150
	if testing.Short() {
		rounds = 20
	}
	for i := range rounds {
		m := Model(i % 2)
		p := randomPick(rng, m)
		w.Set(p)
		require.NoError(t, codes.Convert(t.Context(), src, m, 2))
		require.NoError(t, w.Matte(t.Context(), &kept, &codes, 2))
		require.NoError(t, w.MatteOf(t.Context(), &once, src, 3))
		require.Equal(t, kept.Pix, once.Pix, "%+v", p)
		want := slowMatte(p, src)
		for k := range want.Pix {
			if math.Abs(float64(want.Pix[k]-kept.Pix[k])) > 0.001 {
				t.Fatalf("%+v: colour %v weighs %g, want %g", p, src.RGB(k%120, k/120), kept.Pix[k], want.Pix[k])
			}
		}
	}
}

func TestMatteHasTheSameBitsForAnyNumberOfWorkers(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	src := awkwardImage(rng, 333, 111)
	w := new(Weigher)
	w.Set(randomPick(rng, LCh))
	var want, got colour.Plane
	require.NoError(t, w.MatteOf(t.Context(), &want, src, 1))
	for _, workers := range []int{2, 7} {
		require.NoError(t, w.MatteOf(t.Context(), &got, src, workers))
		require.Equal(t, want.Pix, got.Pix, "%d workers", workers)
	}
}

func TestMatteStopsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var dst colour.Plane
	w := new(Weigher)
	w.Set(Pick{})
	require.ErrorIs(t, w.MatteOf(ctx, &dst, colour.NewImage(64, 64), 2), context.Canceled)
}

func TestOneWeigherFollowsEveryChange(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	src := awkwardImage(rng, 40, 40)
	kept := new(Weigher)
	p := randomPick(rng, HSL)
	for range 30 {
		p.Limits[rng.IntN(3)] = randomPick(rng, HSL).Limits[rng.IntN(3)]
		if rng.IntN(5) == 0 {
			p = randomPick(rng, Model(rng.IntN(2)))
		}
		kept.Set(p)
		fresh := new(Weigher)
		fresh.Set(p)
		var a, b colour.Plane
		require.NoError(t, kept.MatteOf(t.Context(), &a, src, 1))
		require.NoError(t, fresh.MatteOf(t.Context(), &b, src, 1))
		require.Equal(t, b.Pix, a.Pix)
	}
}
