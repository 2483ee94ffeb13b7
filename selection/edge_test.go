package selection

import (
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// allStages has every stage on.
var allStages = Edge{Despeckle: 12, Align: 3, Harden: 0.4, About: 0.45, Grow: 1.5, Soften: 1.3}

// eachStage has the stages alone, in forms that take different ways, and all.
var eachStage = map[string]Edge{
	"despeckle":      {Despeckle: 12, About: 0.5},
	"despeckle 3.3":  {Despeckle: 3.3, About: 0.5},
	"align 2":        {Align: 2, About: 0.5},
	"align 4.7":      {Align: 4.7, About: 0.5},
	"align 17":       {Align: 17, About: 0.5},
	"align 66.6":     {Align: 66.6, About: 0.5},
	"harden":         {Harden: 0.7, About: 0.4},
	"about":          {About: 0.3},
	"grow 2":         {Grow: 2, About: 0.5},
	"grow 5.4":       {Grow: 5.4, About: 0.5},
	"shrink 3":       {Grow: -3, About: 0.5},
	"shrink 0.6":     {Grow: -0.6, About: 0.5},
	"soften 0.7":     {Soften: 0.7, About: 0.5},
	"soften 2":       {Soften: 2, About: 0.5},
	"soften 5":       {Soften: 5, About: 0.5},
	"soften 9":       {Soften: 9, About: 0.5},
	"all":            allStages,
	"all, the wider": {Despeckle: 7, Align: 9, Harden: 0.2, About: 0.5, Grow: -2, Soften: 6},
}

// edgeMatte is soft shapes over a field of specks and pinholes.
func edgeMatte(rng *rand.Rand, w, h int) colour.Plane {
	p := colour.NewPlane(w, h)
	cx, cy, r := rng.Float64()*float64(w), rng.Float64()*float64(h), 0.3*float64(min(w, h))
	for y := range h {
		for x := range w {
			d := math.Hypot(float64(x)-cx, float64(y)-cy) + 6*math.Sin(float64(x)/7)
			v := min(max((r-d)/5+0.5, 0), 1)
			switch rng.IntN(40) {
			case 0:
				v = 1 - v
			case 1:
				v = rng.Float64()
			}
			p.Row(y)[x] = float32(v)
		}
	}
	return p
}

// edgeGuide is a noisy picture whose colours change along a slanted line.
func edgeGuide(rng *rand.Rand, w, h int) *colour.Image {
	m := colour.NewImage(w, h)
	for y := range h {
		for x := range w {
			side := 1 / (1 + math.Exp(-(float64(x)-0.5*float64(w)+0.4*float64(y))/1.5))
			for i, p := range []*colour.Plane{&m.R, &m.G, &m.B} {
				level := []float64{0.2, 0.5, 0.6}[i] + side*[]float64{0.5, -0.1, -0.2}[i]
				p.Row(y)[x] = float32(min(max(level+0.02*rng.NormFloat64(), 0), 1))
			}
		}
	}
	return m
}

// edgeMask is a disc with a soft border, a bar, and a single pixel.
func edgeMask(w, h int) colour.Plane {
	p := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			d := math.Hypot(float64(x)-0.6*float64(w), float64(y)-0.5*float64(h))
			v := min(max((0.3*float64(min(w, h))-d)/4, 0), 1)
			if x > w/8 && x < w/8+5 {
				v = 1
			}
			p.Row(y)[x] = float32(v)
		}
	}
	p.Row(h / 2)[w-1] = 0.01
	return p
}

func apply(t testing.TB, src colour.Plane, guide *colour.Image, mask *colour.Plane, e Edge) colour.Plane {
	t.Helper()
	var dst colour.Plane
	require.NoError(t, new(Treatment).Apply(t.Context(), &dst, &src, guide, mask, e, 1, 1))
	return dst
}

// requireSameBits names the first sample that differs.
func requireSameBits(t *testing.T, want, got colour.Plane, message string, args ...any) {
	t.Helper()
	require.Equal(t, [2]int{want.W, want.H}, [2]int{got.W, got.H}, message)
	for i, v := range want.Pix {
		if math.Float32bits(v) != math.Float32bits(got.Pix[i]) {
			t.Fatalf("%s: (%d,%d) is %v, want %v", fmt.Sprintf(message, args...), i%want.W, i/want.W, got.Pix[i], v)
		}
	}
}

func worstOf(a, b colour.Plane) (worst float64, at int) {
	for i := range a.Pix {
		if d := math.Abs(float64(a.Pix[i]) - float64(b.Pix[i])); !(d <= worst) {
			worst, at = d, i
		}
	}
	return worst, at
}

func TestNeutralEdgeKeepsEveryBit(t *testing.T) {
	src := edgeMatte(rand.New(rand.NewPCG(1, 1)), 90, 70)
	mask := edgeMask(90, 70)
	assert.Empty(t, NeutralEdge().Stages())
	for _, m := range []*colour.Plane{nil, &mask} {
		assert.Equal(t, src, apply(t, src, nil, m, NeutralEdge()))
	}
	for name, e := range eachStage {
		assert.NotEmpty(t, e.Stages(), name)
	}
	assert.NotEmpty(t, Edge{}.Stages(), "harden about 0 lifts all alpha by one half")
}

func TestEdgeTooSmallForItsPixelsIsNeutral(t *testing.T) {
	src := edgeMatte(rand.New(rand.NewPCG(1, 2)), 40, 30)
	e := Edge{Despeckle: 8, Soften: 1, About: 0.5} // on a proxy of 8 x 8: 0.125 px of area, sigma 0.125
	var dst colour.Plane
	require.NoError(t, new(Treatment).Apply(t.Context(), &dst, &src, nil, nil, Edge{Despeckle: 8, About: 0.5}, 8, 1))
	assert.Equal(t, src, dst)
	require.NoError(t, new(Treatment).Apply(t.Context(), &dst, &src, nil, nil, e, 16, 1))
	assert.Equal(t, src, dst)
}

func TestUniformMatteStaysUniform(t *testing.T) {
	const w, h = 150, 131
	guide := edgeGuide(rand.New(rand.NewPCG(2, 1)), w, h)
	mask := edgeMask(w, h)
	values := []float32{0, 0.05, 0.1, 0.3, 0.5, 0.77, 0.9, 0.95, 1}
	if testing.Short() { // as with the race detector
		values = []float32{0.3, 0.9}
	}
	for name, e := range eachStage {
		for _, v := range values {
			src := colour.NewPlane(w, h)
			for i := range src.Pix {
				src.Pix[i] = v
			}
			want := min(max(0.5+(float64(v)-e.About)/(1-e.Harden), 0), 1)
			for _, m := range []*colour.Plane{nil, &mask} {
				for i, got := range apply(t, src, guide, m, e).Pix {
					if m != nil && !(m.Pix[i] > 0) {
						continue
					}
					if d := math.Abs(float64(got) - want); d > 1e-6/(1-e.Harden) {
						t.Fatalf("%s of %g: %g at %d, want %g", name, v, got, i, want)
					}
				}
			}
		}
	}
}

func TestNothingPassesAMask(t *testing.T) {
	const w, h = 170, 140
	rng := rand.New(rand.NewPCG(3, 1))
	src, guide := edgeMatte(rng, w, h), edgeGuide(rng, w, h)
	mask := edgeMask(w, h)
	sand, dune := colour.NewPlane(w, h), colour.NewImage(w, h)
	for i, m := range mask.Pix {
		sand.Pix[i] = src.Pix[i]
		dune.R.Pix[i], dune.G.Pix[i], dune.B.Pix[i] = guide.R.Pix[i], guide.G.Pix[i], guide.B.Pix[i]
		if m == 0 {
			sand.Pix[i] = 1
			dune.R.Pix[i], dune.G.Pix[i], dune.B.Pix[i] = 1, 0.9, 0.7
		}
	}
	for name, e := range eachStage {
		a, b := apply(t, src, guide, &mask, e), apply(t, sand, dune, &mask, e)
		for i, m := range mask.Pix {
			if m > 0 {
				require.Equal(t, a.Pix[i], b.Pix[i], "%s at %d", name, i) // not by a bit
			} else if e.Harden == 0 && e.About == 0.5 {
				require.Equal(t, src.Pix[i], a.Pix[i], "%s: what takes no part stays", name)
			}
		}
	}
}

// A mask that is 0 all round is like a smaller frame.
func TestMaskedBoxIsLikeAFrameOfItsOwn(t *testing.T) {
	const w, h, x0, y0, cw, ch = 260, 230, 64, 128, 101, 83
	rng := rand.New(rand.NewPCG(3, 2))
	src, guide := edgeMatte(rng, w, h), edgeGuide(rng, w, h)
	mask := colour.NewPlane(w, h)
	for y := y0; y < y0+ch; y++ {
		for x := x0; x < x0+cw; x++ {
			mask.Row(y)[x] = 0.25
		}
	}
	all := crop(mask, x0, y0, cw, ch)
	small, smallGuide := crop(src, x0, y0, cw, ch), cropImage(guide, x0, y0, cw, ch)
	for name, e := range eachStage {
		got := crop(apply(t, src, guide, &mask, e), x0, y0, cw, ch)
		requireSameBits(t, apply(t, small, smallGuide, &all, e), got, "%s", name)
	}
}

func crop(p colour.Plane, x0, y0, w, h int) colour.Plane {
	out := colour.NewPlane(w, h)
	for y := range h {
		copy(out.Row(y), p.Row(y0 + y)[x0:])
	}
	return out
}

func cropImage(m *colour.Image, x0, y0, w, h int) *colour.Image {
	return &colour.Image{R: crop(m.R, x0, y0, w, h), G: crop(m.G, x0, y0, w, h), B: crop(m.B, x0, y0, w, h)}
}

func TestEdgeOfARegionHasTheBitsOfTheFrame(t *testing.T) {
	const w, h = 700, 620
	rng := rand.New(rand.NewPCG(4, 1))
	src, guide := edgeMatte(rng, w, h), edgeGuide(rng, w, h)
	mask := edgeMask(w, h)
	names := eachStage
	if testing.Short() {
		names = map[string]Edge{"all": allStages, "all, the wider": eachStage["all, the wider"]}
	}
	for name, e := range names {
		reach := e.Reach(1)
		for i, m := range []*colour.Plane{nil, &mask} {
			whole := apply(t, src, guide, m, e)
			for range 2 {
				// The wanted region, and the part of the frame that it needs.
				wx, wy := rng.IntN(w-40), rng.IntN(h-40)
				x0, y0 := max(0, wx-reach)/RegionGrid*RegionGrid, max(0, wy-reach)/RegionGrid*RegionGrid
				x1, y1 := min(w, wx+40+reach), min(h, wy+40+reach)
				var part *colour.Plane
				if m != nil {
					c := crop(*m, x0, y0, x1-x0, y1-y0)
					part = &c
				}
				got := apply(t, crop(src, x0, y0, x1-x0, y1-y0), cropImage(guide, x0, y0, x1-x0, y1-y0), part, e)
				requireSameBits(t, crop(whole, wx, wy, 40, 40), crop(got, wx-x0, wy-y0, 40, 40),
					"%s, mask %d, region at (%d,%d) from (%d,%d)", name, i, wx, wy, x0, y0)
			}
		}
	}
}

func TestEdgeHasTheSameBitsForAnyNumberOfWorkers(t *testing.T) {
	const w, h = 333, 287
	rng := rand.New(rand.NewPCG(5, 1))
	src, guide := edgeMatte(rng, w, h), edgeGuide(rng, w, h)
	mask := edgeMask(w, h)
	kept := new(Treatment)
	for name, e := range eachStage {
		for _, m := range []*colour.Plane{nil, &mask} {
			want := apply(t, src, guide, m, e)
			for _, workers := range []int{0, 2, 7} {
				var got colour.Plane
				require.NoError(t, kept.Apply(t.Context(), &got, &src, guide, m, e, 1, workers))
				requireSameBits(t, want, got, "%s, %d workers", name, workers)
			}
		}
	}
}

// One Treatment after many others gives what a fresh one does.
func TestTreatmentKeepsNothingButMemory(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	kept := new(Treatment)
	for range 40 {
		w, h := 1+rng.IntN(150), 1+rng.IntN(150)
		src, guide := edgeMatte(rng, w, h), edgeGuide(rng, w, h)
		var m *colour.Plane
		if rng.IntN(2) == 0 {
			mask := edgeMask(w, h)
			m = &mask
		}
		e := Edge{Despeckle: 20 * rng.Float64(), Align: 30 * rng.Float64(), Harden: rng.Float64(), About: rng.Float64(), Grow: 20 * (rng.Float64() - 0.5), Soften: 10 * rng.Float64()}
		var got colour.Plane
		require.NoError(t, kept.Apply(t.Context(), &got, &src, guide, m, e, 1, 2))
		requireSameBits(t, apply(t, src, guide, m, e), got, "%dx%d %+v", w, h, e)
	}
}

// The stages one by one, as a cache calls them, are Apply.
func TestStagesInTheirOrderAreApply(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	src, guide, mask := edgeMatte(rng, 120, 110), edgeGuide(rng, 120, 110), edgeMask(120, 110)
	const factor = 1.5
	e := allStages.Scaled(factor)
	var k Treatment
	var names []string
	got := src
	for _, stage := range e.Stages() {
		var guided *colour.Image
		if stage.ReadsGuide() {
			guided = guide
		}
		next, alone := colour.Plane{}, colour.Plane{}
		require.NoError(t, k.Run(t.Context(), &next, &got, guided, &mask, stage, 1))
		require.NoError(t, k.Apply(t.Context(), &alone, &got, guided, &mask, stage.Edge, 1, 1))
		assert.Equal(t, alone, next, "%s depends on %v alone", stage.Name, stage.Edge)
		assert.Equal(t, []EdgeStage{stage}, stage.Edge.Stages())
		got, names = next, append(names, stage.Name)
	}
	var want colour.Plane
	require.NoError(t, k.Apply(t.Context(), &want, &src, guide, &mask, allStages, factor, 1))
	assert.Equal(t, want, got)
	assert.Equal(t, []string{Despeckle, Align, Harden, Grow, Soften}, names)
	assert.InDelta(t, 12/factor/factor, e.Despeckle, 1e-12)
	assert.InDelta(t, 3/factor, e.Align, 1e-12)
	assert.InDelta(t, 1.5/factor, e.Grow, 1e-12)
	assert.InDelta(t, 1.3/factor, e.Soften, 1e-12)
	assert.Equal(t, allStages.Harden, e.Harden)
}

func TestEdgeTakesAnySample(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	awkward := []float32{nan, inf, -inf, -1, 2, float32(math.Copysign(0, -1)), 1e-40, math.MaxFloat32, 0.5}
	rng := rand.New(rand.NewPCG(8, 1))
	const w, h = 75, 66
	src, guide, mask := edgeMatte(rng, w, h), edgeGuide(rng, w, h), edgeMask(w, h)
	for _, p := range []*colour.Plane{&src, &guide.R, &guide.G, &guide.B, &mask} {
		for range 300 {
			p.Pix[rng.IntN(w*h)] = awkward[rng.IntN(len(awkward))]
		}
	}
	clean := colour.NewPlane(w, h)
	tidyRow(clean.Pix, src.Pix)
	for name, e := range eachStage {
		for _, m := range []*colour.Plane{nil, &mask} {
			got := apply(t, src, guide, m, e)
			for i, v := range got.Pix {
				require.True(t, v >= 0 && v <= 1, "%s: %g at %d", name, v, i)
			}
			requireSameBits(t, apply(t, clean, guide, m, e), got, "%s", name)
		}
	}
}

func TestEdgeSettingsOutOfRangeAreClamped(t *testing.T) {
	nan := math.NaN()
	assert.Empty(t, Edge{nan, nan, nan, nan, nan, nan}.Stages())
	assert.Empty(t, Edge{-5, -1, -0.1, 0.5, 0, -2}.Stages())
	assert.Equal(t, 0.99, Edge{Harden: 5}.Scaled(1).Harden)
	assert.Equal(t, 1000., Edge{Soften: math.Inf(1)}.Scaled(1).Soften)
	assert.Equal(t, -1000., Edge{Grow: math.Inf(-1)}.Scaled(1).Grow)
	for _, factor := range []float64{0, -1, nan, math.Inf(1)} {
		assert.Panics(t, func() { allStages.Scaled(factor) })
	}
}

func TestEdgeRefusesWhatDoesNotFit(t *testing.T) {
	src, small := colour.NewPlane(9, 9), colour.NewPlane(8, 9)
	soften, align := Edge{Soften: 2, About: 0.5}, Edge{Align: 2, About: 0.5}
	k := new(Treatment)
	var dst colour.Plane
	refuse := func(f func() error) { t.Helper(); assert.Panics(t, func() { _ = f() }) }
	ctx := context.Background()
	refuse(func() error { return k.Apply(ctx, &src, &src, nil, nil, NeutralEdge(), 1, 1) })
	refuse(func() error { return k.Apply(ctx, &src, &src, nil, nil, soften, 1, 1) })
	refuse(func() error { return k.Apply(ctx, &dst, &src, nil, &small, soften, 1, 1) })
	refuse(func() error { return k.Apply(ctx, &dst, &src, nil, nil, align, 1, 1) })
	refuse(func() error { return k.Apply(ctx, &dst, &src, colour.NewImage(8, 9), nil, align, 1, 1) })
}

// Every build gives the same bits: no fused multiply-add, exact or ordered sums.
// Run it with GOAMD64=v1 and v3, each with and without GOEXPERIMENT=simd. A
// change of a stage changes its number here; so it does every matte's digest.
func TestEdgeHasTheSameBitsInEveryBuild(t *testing.T) {
	const w, h = 211, 177
	rng := rand.New(rand.NewPCG(10, 1))
	code := func(n int) float32 { return float32(rng.IntN(n)) / 65535 }
	src, guide, mask := colour.NewPlane(w, h), colour.NewImage(w, h), colour.NewPlane(w, h)
	for i := range src.Pix {
		x, y := i%w, i/w
		src.Pix[i] = min(float32((x*x/2+y*y)%9000)/6000, 1)
		if rng.IntN(6) == 0 {
			src.Pix[i] = code(65536)
		}
		guide.R.Pix[i], guide.G.Pix[i], guide.B.Pix[i] = 0.5*src.Pix[i]+code(3000), 0.3+code(2000), 0.6-0.2*src.Pix[i]+code(9000)
		if (x-100)*(x-100)+(y-90)*(y-90) < 7000 {
			mask.Pix[i] = 1
		}
	}
	want := map[string][2]uint32{
		"all":            {0xb1654ca0, 0x92441d95},
		"all, the wider": {0xfb169668, 0x5cb7718c},
		"about":          {0x90dc3222, 0x90dc3222},
		"harden":         {0x88d269cc, 0x88d269cc},
		"align 17":       {0x980417ad, 0xbd5c2e68},
		"align 2":        {0x58b05769, 0x5dc0be7d},
		"align 4.7":      {0x5e70fe68, 0x5103bb0b},
		"align 66.6":     {0x99dde353, 0xc1e36921},
		"grow 2":         {0xa17f10cf, 0x2168a20f},
		"grow 5.4":       {0x4784157c, 0xdd290828},
		"despeckle":      {0xae372783, 0xe63bacfa},
		"despeckle 3.3":  {0x87561ffd, 0xcd8fba4b},
		"shrink 0.6":     {0xc0260240, 0xe3035a1b},
		"shrink 3":       {0x68394786, 0x4bf7b069},
		"soften 0.7":     {0xa028043c, 0x4e5dda92},
		"soften 2":       {0x45fb72c8, 0x1e6675d5},
		"soften 5":       {0xd8aa3afa, 0x1aeb14e5},
		"soften 9":       {0x40a77698, 0xbcc111a8},
	}
	for name, e := range eachStage {
		for i, m := range []*colour.Plane{nil, &mask} {
			hash := crc32.NewIEEE()
			require.NoError(t, binary.Write(hash, binary.LittleEndian, apply(t, src, guide, m, e).Pix))
			assert.Equal(t, want[name][i], hash.Sum32(), "%s, mask %d: %#x", name, i, hash.Sum32())
		}
	}
}

func TestEdgeStopsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	src, mask := colour.NewPlane(64, 64), edgeMask(64, 64)
	for name, e := range eachStage {
		var dst colour.Plane
		for _, m := range []*colour.Plane{nil, &mask} {
			require.ErrorIs(t, new(Treatment).Apply(ctx, &dst, &src, colour.NewImage(64, 64), m, e, 1, 2), context.Canceled, name)
		}
	}
	var dst colour.Plane
	none := colour.NewPlane(64, 64)
	require.ErrorIs(t, new(Treatment).Apply(ctx, &dst, &src, nil, &none, allStages, 1, 2), context.Canceled)
}

func TestEdgeOfAnEmptyPlane(t *testing.T) {
	for _, size := range [][2]int{{0, 0}, {0, 5}, {5, 0}, {1, 1}, {1, 70}, {70, 1}} {
		src, guide := colour.NewPlane(size[0], size[1]), colour.NewImage(size[0], size[1])
		none := colour.NewPlane(size[0], size[1])
		for name, e := range eachStage {
			for _, m := range []*colour.Plane{nil, &none} {
				got := apply(t, src, guide, m, e)
				require.Equal(t, [2]int{got.W, got.H}, size, name)
			}
		}
	}
}

// Buffers as large as a plane are made once.
func TestEdgeMakesNoPlanesInSteadyState(t *testing.T) {
	const w, h = 400, 300
	rng := rand.New(rand.NewPCG(9, 1))
	src, guide, mask := edgeMatte(rng, w, h), edgeGuide(rng, w, h), edgeMask(w, h)
	for name, e := range eachStage {
		k := new(Treatment)
		var dst colour.Plane
		work := func() { require.NoError(t, k.Apply(t.Context(), &dst, &src, guide, &mask, e, 1, 1)) }
		work()
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		work()
		runtime.ReadMemStats(&after)
		assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(w*h), name) // a plane has 4 w h bytes
	}
}

func ExampleTreatment() {
	// A speck of two pixels beside a bar of three columns with a pinhole.
	src := colour.NewPlane(12, 5)
	for y := range 5 {
		copy(src.Row(y)[6:], []float32{1, 1, 1})
	}
	src.Row(1)[1], src.Row(1)[2], src.Row(2)[7] = 1, 1, 0
	e := NeutralEdge()
	e.Despeckle, e.Soften = 4, 0.6
	var dst colour.Plane
	if err := new(Treatment).Apply(context.Background(), &dst, &src, nil, nil, e, 1, 1); err != nil {
		fmt.Println(err)
		return
	}
	for y := range 5 {
		for _, v := range dst.Row(y) {
			fmt.Print(string(".:+%#"[int(4*v+0.5)]))
		}
		fmt.Println()
	}
	// Output:
	// .....:%#%:..
	// .....:%#%:..
	// .....:%#%:..
	// .....:%#%:..
	// .....:%#%:..
}
