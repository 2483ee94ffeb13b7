package motion

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/scene"
	"halocline/colour"
)

var warps = []struct {
	name string
	warp affine
}{
	{"rest", shift(0, 0)},
	{"fractions", shift(1.37, -0.61)},
	{"ten", shift(9.5, 4.25)},
	{"rotation", turn(2, 1)},
	{"scale", turn(0, 1.03)},
	{"shear", affine{1, 0.03, 0, 1, 0.5, 0}},
}

var conditions = []struct {
	name string
	to   func(p colour.Plane) colour.Plane
	from func(p colour.Plane) colour.Plane
	most float64 // mean error, px
}{
	{"plain", same, same, 0.07},
	{"light", func(p colour.Plane) colour.Plane { return lit(p, 1.2, 0.05) }, same, 0.07},
	{"noise", func(p colour.Plane) colour.Plane { return noisy(p, 0.015, 1) }, func(p colour.Plane) colour.Plane { return noisy(p, 0.015, 2) }, 0.3},
}

func same(p colour.Plane) colour.Plane { return p }

// The truth is the affine itself.
func TestWarpsAreFound(t *testing.T) {
	const w, h = 200, 150
	for _, c := range warps {
		from, to := pair(c.warp, w, h)
		errors := map[string]float64{}
		for _, k := range conditions {
			t.Run(c.name+"/"+k.name, func(t *testing.T) {
				f := flowOf(t, k.from(from), k.to(to))
				got := endPointError(c.warp, w, h, f.At)
				t.Logf("mean end-point error %.3f px", got)
				assert.Less(t, got, k.most)
				errors[k.name] = got
			})
		}
		assert.Less(t, errors["light"], errors["plain"]+0.01, "%s: a change of light adds hardly an error", c.name)
	}
}

// 40 pixels on 270 lines: four times as much of the frame as 40 pixels on 1080 lines.
func TestLargeMotionIsFound(t *testing.T) {
	for _, m := range []affine{shift(40, 0), shift(-24, 31)} {
		from, to := pair(m, 480, 270)
		got := endPointError(m, 480, 270, flowOf(t, from, to).At)
		assert.Less(t, got, 0.3, "%v", m)
	}
}

// The grid is coarser than the frame here: its nodes lie in the middle of 4 x 4 pixels. A
// grid that begins at pixel 0 would be off by 1.5 pixels times the growth.
func TestFramesOfManyLines(t *testing.T) {
	m := affine{1.08, 0, 0, 1.01, 0, 0}
	from, to := pair(m, 203, 1201)
	f := flowOf(t, from, to)
	assert.Equal(t, 4, f.scale)
	assert.Less(t, endPointError(m, 203, 1201, f.At), 0.3)
	node := 25*f.gw + 20 // covers pixels 80 to 83 of rows 100 to 103
	u0, _ := f.At(81, 101)
	u1, _ := f.At(82, 102)
	assert.InDelta(t, f.u[node], (u0+u1)/2, 0.05, "a node lies between the middle pixels it covers")
}

// The scene drifts and its light runs: what is carried from the next frame is nearer to
// the frame than what stands still.
func TestSceneIsCarried(t *testing.T) {
	const w, h = 320, 180
	var lumas []colour.Plane
	for _, n := range []int{20, 22} {
		f, err := scene.Render(t.Context(), 1, n, w, h, 0)
		require.NoError(t, err)
		p := colour.NewPlane(w, h)
		for i := range p.Pix {
			p.Pix[i] = 0.2126*f.Image.R.Pix[i] + 0.7152*f.Image.G.Pix[i] + 0.0722*f.Image.B.Pix[i]
		}
		lumas = append(lumas, p)
	}
	carried := colour.NewPlane(w, h)
	require.NoError(t, flowOf(t, lumas[0], lumas[1]).Carry(t.Context(), carried, lumas[1], 0))
	still, moved := meanDifference(lumas[0], lumas[1]), meanDifference(lumas[0], carried)
	t.Logf("mean difference: still %.4f, carried %.4f", still, moved)
	assert.Less(t, moved, 0.8*still)
}

func meanDifference(p, q colour.Plane) float64 {
	var sum float64
	for i, v := range p.Pix {
		sum += math.Abs(float64(v - q.Pix[i]))
	}
	return sum / float64(len(p.Pix))
}

func TestFlatPicturesStandStill(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {3, 40}, {16, 16}, {70, 33}} {
		p := lit(colour.NewPlane(size[0], size[1]), 1, 0.4)
		f := flowOf(t, p, lit(p, 1.2, 0.05))
		for i := range f.u {
			require.Zero(t, f.u[i])
			require.Zero(t, f.v[i])
		}
	}
}

func TestSmallPictures(t *testing.T) {
	m := shift(1, 0.5)
	from, to := pair(m, 16, 16)
	assert.Less(t, endPointError(m, 16, 16, flowOf(t, from, to).At), 0.5)
}

// A square moves by 12 pixels over a ground at rest: what it will hide comes back wrong.
func TestDisagreementShowsWhatIsHidden(t *testing.T) {
	const w, h, side, step = 160, 120, 40, 12
	ground, square := texture{3}, texture{5}
	draw := func(left int) colour.Plane {
		p := colour.NewPlane(w, h)
		for y := range h {
			for x := range w {
				p.Row(y)[x] = float32(ground.at(float64(x), float64(y)))
				if x >= left && x < left+side && y >= 40 && y < 40+side {
					p.Row(y)[x] = 0.2 + 0.8*float32(square.at(float64(x-left), float64(y)))
				}
			}
		}
		return p
	}
	from, to := picture(t, draw(50)), picture(t, draw(50+step))
	d := disagreement(t, from, to)
	assert.Greater(t, meanIn(d, 50+side+2, 45, 50+side+step-2, 75), 2.0, "hidden")
	assert.Less(t, meanIn(d, 60, 50, 80, 70), 0.3, "square")
	assert.Less(t, meanIn(d, 5, 5, 150, 25), 0.3, "ground")
}

func TestDisagreementOfSmoothWarpsIsSmall(t *testing.T) {
	from, to := pair(turn(2, 1.02), 200, 150)
	d := disagreement(t, picture(t, from), picture(t, to))
	assert.Less(t, meanIn(d, 20, 20, 180, 130), 0.08)
}

func disagreement(t *testing.T, from, to *Picture) colour.Plane {
	forward, err := Between(t.Context(), from, to, 0)
	require.NoError(t, err)
	back, err := Between(t.Context(), to, from, 0)
	require.NoError(t, err)
	d, err := Disagreement(t.Context(), forward, back, 0)
	require.NoError(t, err)
	return d
}

func meanIn(p colour.Plane, x0, y0, x1, y1 int) float64 {
	var sum float64
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			sum += float64(p.At(x, y))
		}
	}
	return sum / float64((x1-x0)*(y1-y0))
}

func TestSameBytesForAnyWorkers(t *testing.T) {
	from, to := pair(turn(3, 1.02), 230, 620)
	var want []float32
	for _, workers := range []int{1, 2, 7} {
		p, err := NewPicture(t.Context(), from, workers)
		require.NoError(t, err)
		q, err := NewPicture(t.Context(), to, workers)
		require.NoError(t, err)
		f, err := Between(t.Context(), p, q, workers)
		require.NoError(t, err)
		back, err := Between(t.Context(), q, p, workers)
		require.NoError(t, err)
		d, err := Disagreement(t.Context(), f, back, workers)
		require.NoError(t, err)
		carried := colour.NewPlane(230, 620)
		require.NoError(t, f.Carry(t.Context(), carried, to, workers))
		got := slices.Concat(f.u, f.v, d.Pix, carried.Pix)
		if want == nil {
			want = got
		}
		require.True(t, slices.Equal(want, got), "%d workers", workers)
	}
}

func TestCarryReadsBetweenPixels(t *testing.T) {
	const w, h = 12, 9
	f := &Flow{w: w, h: h, scale: 1, gw: w, gh: h, u: make([]float32, w*h), v: make([]float32, w*h)}
	src, dst := colour.NewPlane(w, h), colour.NewPlane(w, h)
	for i := range f.u {
		f.u[i], f.v[i] = 1.25, -0.5
		src.Pix[i] = float32(i%w) + 10*float32(i/w)
	}
	require.NoError(t, f.Carry(t.Context(), dst, src, 1))
	assert.InDelta(t, 3+1.25+10*(4-0.5), dst.At(3, 4), 1e-5)
	assert.InDelta(t, 11+10*3.5, dst.At(11, 4), 1e-5, "the border counts outside")
	assert.InDelta(t, 3+1.25, dst.At(3, 0), 1e-5)
}

func TestBadInput(t *testing.T) {
	_, err := NewPicture(t.Context(), colour.Plane{}, 1)
	require.EqualError(t, err, "motion: the picture has 0 x 0 pixels, want at least 1 x 1")
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, h := range []int{20, 601} { // the second is halved first
			p := colour.NewPlane(20, h)
			p.Pix[20*h-1] = float32(bad)
			_, err = NewPicture(t.Context(), p, 1)
			require.ErrorIs(t, err, errNotFinite)
		}
	}
	p, q := picture(t, colour.NewPlane(20, 16)), picture(t, colour.NewPlane(16, 20))
	_, err = Between(t.Context(), p, q, 1)
	require.EqualError(t, err, "motion: the second picture has 16 x 20 pixels, want 20 x 16 as the first")
	assert.Panics(t, func() { _, _ = NewPicture(t.Context(), colour.Plane{W: 3, H: 3}, 1) })
}

func TestEndsWithItsContext(t *testing.T) {
	from, to := pair(shift(1, 1), 64, 64)
	p, q := picture(t, from), picture(t, to)
	f := flowOf(t, from, to)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := NewPicture(ctx, from, 1)
	require.ErrorIs(t, err, context.Canceled)
	_, err = Between(ctx, p, q, 1)
	require.ErrorIs(t, err, context.Canceled)
	require.ErrorIs(t, f.Carry(ctx, colour.NewPlane(64, 64), from, 1), context.Canceled)
	_, err = Disagreement(ctx, f, f, 1)
	require.ErrorIs(t, err, context.Canceled)
}
