package colour

import (
	"context"
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// apart are parts of a 300 x 90 picture: at its borders, beside each other,
// narrower than what noise smoothing reads, and one pixel.
var apart = []image.Rectangle{
	image.Rect(0, 0, 40, 33), image.Rect(41, 0, 300, 7), image.Rect(41, 7, 43, 90),
	image.Rect(60, 20, 61, 21), image.Rect(70, 30, 299, 64), image.Rect(299, 64, 300, 90),
}

func TestPartsHaveTheBitsOfTheWhole(t *testing.T) {
	src := testPicture(300, 90, 0.03, 5)
	src.R.Pix[31*300+71], src.G.Pix[5], src.B.Pix[40] = float32(math.NaN()), float32(math.Inf(1)), -3
	noise := [3]float64{0.02, 0.03, 0.02}
	base := Neutral()
	base.Exposure = 0.4
	curves, err := base.Curves()
	require.NoError(t, err)
	for name, apply := range map[string][2]func(dst *Image, workers int) error{
		"smooth noise": {
			func(dst *Image, workers int) error { return SmoothNoise(t.Context(), dst, src, noise, workers) },
			func(dst *Image, workers int) error {
				return new(Smoother).SmoothParts(t.Context(), dst, src, noise, apart, workers)
			},
		},
		"base": {
			func(dst *Image, workers int) error { return curves.Apply(t.Context(), dst, src, workers) },
			func(dst *Image, workers int) error { return curves.ApplyParts(t.Context(), dst, src, apart, workers) },
		},
	} {
		whole := new(Image)
		require.NoError(t, apply[0](whole, 1))
		for _, workers := range []int{1, 2, 7} {
			parts := NewImage(300, 90)
			for _, p := range []Plane{parts.R, parts.G, parts.B} {
				for i := range p.Pix {
					p.Pix[i] = 7
				}
			}
			require.NoError(t, apply[1](parts, workers))
			for y := range 90 {
				for x := range 300 {
					got, want := parts.RGB(x, y), RGB{7, 7, 7}
					for _, r := range apart {
						if image.Pt(x, y).In(r) {
							want = whole.RGB(x, y)
						}
					}
					require.Equal(t, bitsOf(want), bitsOf(got), "%s at (%d,%d)", name, x, y)
				}
			}
		}
	}
}

func bitsOf(c RGB) [3]uint64 {
	return [3]uint64{math.Float64bits(c.R), math.Float64bits(c.G), math.Float64bits(c.B)}
}

func TestPartsStopWithTheirContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	src := testPicture(300, 90, 0, 1)
	require.ErrorIs(t, new(Smoother).SmoothParts(ctx, NewImage(300, 90), src, [3]float64{}, apart, 2), context.Canceled)
	require.NoError(t, new(Smoother).SmoothParts(t.Context(), NewImage(300, 90), src, [3]float64{}, nil, 2))
}
