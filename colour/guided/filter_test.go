package guided

import (
	"context"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// picture returns a soft shape with noise, and a noisy guide whose colours
// change along a slanted line.
func picture(rng *rand.Rand, w, h int) (colour.Plane, *colour.Image) {
	src, guide := colour.NewPlane(w, h), colour.NewImage(w, h)
	cx, cy := rng.Float64()*float64(w), rng.Float64()*float64(h)
	noisy := func(v float64) float32 { return float32(min(max(v+0.02*rng.NormFloat64(), 0), 1)) }
	for y := range h {
		for x := range w {
			i, d := y*w+x, math.Hypot(float64(x)-cx, float64(y)-cy)
			src.Pix[i] = noisy((0.3*float64(min(w, h))-d)/5 + 0.5)
			if rng.IntN(20) == 0 {
				src.Pix[i] = rng.Float32()
			}
			side := 1 / (1 + math.Exp(-(float64(x)-0.5*float64(w)+0.4*float64(y))/1.5))
			guide.R.Pix[i], guide.G.Pix[i], guide.B.Pix[i] = noisy(0.2+0.5*side), noisy(0.5-0.1*side), noisy(0.6-0.2*side)
		}
	}
	return src, guide
}

// steep returns stripes of 0 and 1, and a guide near white that follows them by
// twice the root of eps, of which slopes become the largest.
func steep(w, h int, eps float64) (colour.Plane, *colour.Image) {
	src, guide := colour.NewPlane(w, h), colour.NewImage(w, h)
	step := float32(2 * math.Sqrt(eps) / math.Sqrt(3))
	for i := range src.Pix {
		src.Pix[i] = float32(i / 2 % 2)
		v := 1 - step*src.Pix[i]
		guide.R.Pix[i], guide.G.Pix[i], guide.B.Pix[i] = v, v, v
	}
	return src, guide
}

// someOf is a disc, a bar and a single pixel.
func someOf(w, h int) *colour.Plane {
	p := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			if math.Hypot(float64(x)-0.6*float64(w), float64(y)-0.5*float64(h)) < 0.3*float64(min(w, h)) || x/5 == w/40 {
				p.Row(y)[x] = 1
			}
		}
	}
	p.Row(h / 2)[w-1] = 0.01
	return &p
}

// filtered is src where it takes no part.
func filtered(t testing.TB, src colour.Plane, guide *colour.Image, mask *colour.Plane, windows Windows) colour.Plane {
	t.Helper()
	dst := copied(src)
	require.NoError(t, new(Filter).Run(t.Context(), &dst, &src, guide, colour.Domain{Box: src.Bounds(), Mask: mask}, windows, 1))
	return dst
}

func copied(p colour.Plane) colour.Plane {
	out := colour.NewPlane(p.W, p.H)
	copy(out.Pix, p.Pix)
	return out
}

func worstOf(a, b colour.Plane) (worst float64, at int) {
	for i := range a.Pix {
		if d := math.Abs(float64(a.Pix[i]) - float64(b.Pix[i])); !(d <= worst) {
			worst, at = d, i
		}
	}
	return worst, at
}

func requireSameBits(t *testing.T, want, got colour.Plane, message string, args ...any) {
	t.Helper()
	for i, v := range want.Pix {
		if math.Float32bits(v) != math.Float32bits(got.Pix[i]) {
			t.Fatalf("%s: (%d,%d) is %v, want %v", fmt.Sprintf(message, args...), i%want.W, i/want.W, got.Pix[i], v)
		}
	}
}

// tolerance is what 14 bits of guide and alpha cost: rounding of 3e-5 times
// slopes of at most 0.25 / sqrt(eps), and a little.
func tolerance(eps float64) float64 { return 1e-5 / math.Sqrt(eps) }

func TestFilterIsItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 1))
	for i, radius := range []float64{1, 2, 3, 4, 5, 7, 0, 0.25, 0.75, 1.5, 2.75, 4.125, 7.9375} {
		w, h := 10+rng.IntN(40), 10+rng.IntN(30)
		src, guide := picture(rng, w, h)
		for _, eps := range []float64{0.02 * 0.02, 1e-4, 0.01} {
			for _, mask := range []*colour.Plane{nil, someOf(w, h)} {
				got := filtered(t, src, guide, mask, Windows{Radius: radius, Eps: eps, Stride: 1})
				worst, at := worstOf(slowFilter(src, guide, mask, radius, eps), got)
				require.LessOrEqual(t, worst, tolerance(eps), "round %d: %dx%d, radius %g, eps %g, pixel %d", i, w, h, radius, eps, at)
			}
		}
	}
}

// The whole numbers have room for the largest coefficients.
func TestFilterHoldsTheSteepestSlopes(t *testing.T) {
	const w, h, radius = 24, 9, 3
	for _, eps := range []float64{MinEps, 1e-4, 0.02 * 0.02, 0.01, 1} {
		src, guide := steep(w, h, min(eps, 0.2))
		want := slowFilter(src, guide, nil, radius, eps)
		worst, at := worstOf(want, filtered(t, src, guide, nil, Windows{Radius: radius, Eps: eps, Stride: 1}))
		require.LessOrEqual(t, worst, tolerance(eps), "eps %g, pixel %d", eps, at)
	}
}

// Cells of several pixels are near a window about each pixel, where the windows
// are many times wider.
func TestFilterWithCellsIsNear(t *testing.T) {
	src, guide := picture(rand.New(rand.NewPCG(14, 2)), 150, 130)
	for _, eps := range []float64{0.02 * 0.02, 1e-4} {
		every := filtered(t, src, guide, nil, Windows{Radius: 40, Eps: eps, Stride: 1})
		for _, stride := range []int{2, 4} {
			worst, at := worstOf(every, filtered(t, src, guide, nil, Windows{Radius: 40, Eps: eps, Stride: stride}))
			assert.LessOrEqual(t, worst, 0.01, "eps %g, cells of %d, pixel %d", eps, stride, at)
			assert.Greater(t, worst, 0., "cells of %d are a window about each pixel", stride)
		}
	}
}

// everyKind has windows that take different ways.
var everyKind = []Windows{
	{Radius: 4, Eps: 1e-4, Stride: 1},
	{Radius: 2.3, Eps: 4e-4, Stride: 1},
	{Radius: 9, Eps: 4e-4, Stride: 2},
	{Radius: 11.7, Eps: 1e-4, Stride: 4},
}

func TestFilterHasTheSameBitsForAnyNumberOfWorkers(t *testing.T) {
	const w, h = 133, 187
	src, guide := picture(rand.New(rand.NewPCG(14, 5)), w, h)
	kept := new(Filter)
	for _, windows := range everyKind {
		for _, mask := range []*colour.Plane{nil, someOf(w, h)} {
			want := filtered(t, src, guide, mask, windows)
			for _, workers := range []int{0, 2, 7} {
				got := copied(src)
				require.NoError(t, kept.Run(t.Context(), &got, &src, guide, colour.Domain{Box: src.Bounds(), Mask: mask}, windows, workers))
				requireSameBits(t, want, got, "%+v, %d workers", windows, workers)
			}
		}
	}
}

// A box is filtered like a picture of its own, and nothing but what takes part
// is read or written.
func TestFilterKeepsToWhatTakesPart(t *testing.T) {
	const w, h = 120, 90
	src, guide := picture(rand.New(rand.NewPCG(14, 6)), w, h)
	box := image.Rect(17, 9, 101, 74)
	all := []*colour.Plane{&src, &guide.R, &guide.G, &guide.B}
	var cut [4]colour.Plane
	for i, p := range all {
		cut[i] = cropped(*p, box)
	}
	mask := someOf(w, h)
	cutMask := cropped(*mask, box)
	for _, windows := range everyKind {
		for _, in := range []struct{ whole, cut *colour.Plane }{{nil, nil}, {mask, &cutMask}} {
			domain := colour.Domain{Box: box, Mask: in.whole}
			small := filtered(t, cut[0], &colour.Image{R: cut[1], G: cut[2], B: cut[3]}, in.cut, windows)
			got := colour.NewPlane(w, h)
			for i := range got.Pix {
				got.Pix[i] = 7
			}
			want := copied(got)
			for y := range small.H {
				part := domain.Part(y)
				for x, v := range small.Row(y) {
					if part == nil || part[x] > 0 {
						domain.Row(&want, y)[x] = v
					}
				}
			}
			require.NoError(t, new(Filter).Run(t.Context(), &got, &src, guide, domain, windows, 2))
			requireSameBits(t, want, got, "%+v", windows)
		}
	}
}

func cropped(p colour.Plane, box image.Rectangle) colour.Plane {
	out := colour.NewPlane(box.Dx(), box.Dy())
	in := colour.Domain{Box: box}
	for y := range out.H {
		copy(out.Row(y), in.Row(&p, y))
	}
	return out
}

func TestFilterReadsNoFartherThanItsReach(t *testing.T) {
	const w, h, x, y = 171, 160, 77, 82
	rng := rand.New(rand.NewPCG(14, 7))
	src, guide := picture(rng, w, h)
	other, otherGuide := picture(rng, w, h)
	for _, windows := range everyKind {
		reach := windows.Reach()
		near := image.Rect(x-reach, y-reach, x+reach+1, y+reach+1)
		require.True(t, near.In(src.Bounds()), "%+v reaches past the picture", windows)
		for at := range src.Pix {
			if image.Pt(at%w, at/w).In(near) {
				other.Pix[at], otherGuide.R.Pix[at] = src.Pix[at], guide.R.Pix[at]
				otherGuide.G.Pix[at], otherGuide.B.Pix[at] = guide.G.Pix[at], guide.B.Pix[at]
			}
		}
		want, got := filtered(t, src, guide, nil, windows), filtered(t, other, otherGuide, nil, windows)
		assert.Equal(t, want.At(x, y), got.At(x, y), "%+v", windows)
		assert.NotEqual(t, want.At(0, 0), got.At(0, 0))
	}
}

func TestFilterStopsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	src, guide := picture(rand.New(rand.NewPCG(14, 8)), 30, 20)
	dst := colour.NewPlane(30, 20)
	for _, box := range []image.Rectangle{src.Bounds(), {}} {
		require.ErrorIs(t, new(Filter).Run(ctx, &dst, &src, guide, colour.Domain{Box: box}, everyKind[0], 2), context.Canceled)
		require.NoError(t, new(Filter).Run(t.Context(), &dst, &src, guide, colour.Domain{Box: box}, everyKind[0], 2))
	}
}

func TestFilterRefusesWhatDoesNotFit(t *testing.T) {
	src, guide := picture(rand.New(rand.NewPCG(14, 9)), 9, 8)
	dst, small := colour.NewPlane(9, 8), colour.NewPlane(8, 8)
	whole, good := colour.Domain{Box: src.Bounds()}, everyKind[0]
	run := func(dst, src *colour.Plane, guide *colour.Image, in colour.Domain, windows Windows) func() {
		return func() { _ = new(Filter).Run(context.Background(), dst, src, guide, in, windows, 1) }
	}
	require.NotPanics(t, run(&dst, &src, guide, whole, good))
	for name, call := range map[string]func(){
		"no guide":         run(&dst, &src, nil, whole, good),
		"small guide":      run(&dst, &src, colour.NewImage(8, 8), whole, good),
		"small source":     run(&dst, &small, guide, whole, good),
		"small result":     run(&small, &src, guide, whole, good),
		"into the source":  run(&src, &src, guide, whole, good),
		"into the guide":   run(&guide.G, &src, guide, whole, good),
		"small mask":       run(&dst, &src, guide, colour.Domain{Box: src.Bounds(), Mask: &small}, good),
		"box too wide":     run(&dst, &src, guide, colour.Domain{Box: image.Rect(0, 0, 10, 8)}, good),
		"box beyond":       run(&dst, &src, guide, colour.Domain{Box: image.Rect(-1, 0, 5, 8)}, good),
		"cells of 3":       run(&dst, &src, guide, whole, Windows{Radius: 4, Eps: 1e-4, Stride: 3}),
		"no cells":         run(&dst, &src, guide, whole, Windows{Radius: 4, Eps: 1e-4}),
		"radius below 0":   run(&dst, &src, guide, whole, Windows{Radius: -0.1, Eps: 1e-4, Stride: 1}),
		"less than a cell": run(&dst, &src, guide, whole, Windows{Radius: 1.4, Eps: 1e-4, Stride: 4}),
		"radius too large": run(&dst, &src, guide, whole, Windows{Radius: MaxRadius + 1, Eps: 1e-4, Stride: 1}),
		"radius unknown":   run(&dst, &src, guide, whole, Windows{Radius: math.NaN(), Eps: 1e-4, Stride: 1}),
		"eps 0":            run(&dst, &src, guide, whole, Windows{Radius: 4, Stride: 1}),
		"eps too small":    run(&dst, &src, guide, whole, Windows{Radius: 4, Eps: 4e-5, Stride: 1}),
		"eps too large":    run(&dst, &src, guide, whole, Windows{Radius: 4, Eps: 1.1, Stride: 1}),
		"eps unknown":      run(&dst, &src, guide, whole, Windows{Radius: 4, Eps: math.NaN(), Stride: 1}),
	} {
		assert.Panics(t, call, name)
	}
}
