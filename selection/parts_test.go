package selection

import (
	"context"
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// Parts that are converted and weighed one after the other have the bits of the
// whole, and nothing else is written.
func TestPartsHaveTheBitsOfTheWhole(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	first := []image.Rectangle{image.Rect(0, 0, 50, 40), image.Rect(333-7, 100, 333, 111)}
	second := []image.Rectangle{image.Rect(50, 3, 300, 4), image.Rect(80, 30, 81, 111)}
	for i := range 40 {
		p := randomPick(rng, Model(i%int(Models)))
		src := awkwardImage(rng, 333, 111)
		w := new(Weigher)
		w.Set(p)
		var whole colour.Plane
		require.NoError(t, matteOf(t.Context(), w, &whole, src, 1))
		for _, workers := range []int{1, 2, 7} {
			a, b := new(Codes), new(Codes)
			require.NoError(t, a.ConvertParts(t.Context(), nil, src, p, first, workers))
			require.NoError(t, b.ConvertParts(t.Context(), a, src, p, second, workers))
			parts := colour.NewPlane(333, 111)
			for i := range parts.Pix {
				parts.Pix[i] = 7
			}
			require.NoError(t, w.MatteParts(t.Context(), &parts, a, first, workers))
			requireParts(t, whole, parts, first)
			require.NoError(t, w.MatteParts(t.Context(), &parts, b, append(first, second...), workers))
			requireParts(t, whole, parts, append(first, second...))
		}
	}
}

func requireParts(t *testing.T, whole, got colour.Plane, in []image.Rectangle) {
	t.Helper()
	want := colour.NewPlane(whole.W, whole.H)
	for i := range want.Pix {
		want.Pix[i] = 7
	}
	for _, r := range in {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			copy(want.Row(y)[r.Min.X:r.Max.X], whole.Row(y)[r.Min.X:r.Max.X])
		}
	}
	requireSameBits(t, want, got, "%v", in)
}

func TestPartsStopWithTheirContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	src := awkwardImage(rand.New(rand.NewPCG(1, 1)), 40, 30)
	all := []image.Rectangle{image.Rect(0, 0, 40, 30)}
	c, w, dst := new(Codes), new(Weigher), colour.NewPlane(40, 30)
	require.ErrorIs(t, c.ConvertParts(ctx, nil, src, Pick{}, all, 1), context.Canceled)
	require.NoError(t, c.ConvertParts(t.Context(), nil, src, Pick{}, all, 1))
	w.Set(Pick{Model: HSL})
	require.ErrorIs(t, w.MatteParts(ctx, &dst, c, all, 1), context.Canceled)
	w.Set(Pick{Model: LCh})
	require.Panics(t, func() { _ = w.MatteParts(t.Context(), &dst, c, all, 1) })
}
