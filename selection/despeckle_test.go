package selection

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// slowComponents returns the 4-connected sets of pixels where in is true, by
// flooding.
func slowComponents(in []bool, w, h int) (sets [][]int) {
	seen := make([]bool, len(in))
	for start := range in {
		if !in[start] || seen[start] {
			continue
		}
		seen[start] = true
		set := []int{start}
		for k := 0; k < len(set); k++ {
			x, y := set[k]%w, set[k]/w
			for _, d := range [][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				nx, ny := x+d[0], y+d[1]
				if nx < 0 || nx >= w || ny < 0 || ny >= h {
					continue
				}
				if at := ny*w + nx; in[at] && !seen[at] {
					seen[at] = true
					set = append(set, at)
				}
			}
		}
		sets = append(sets, set)
	}
	return sets
}

// plainDespeckle removes the specks, then the pinholes, of less than limit pixels.
func plainDespeckle(a []float64, part []bool, w, h int, limit float64) {
	island := make([]int, len(a))
	for _, set := range slowComponents(part, w, h) {
		for _, at := range set {
			island[at] = len(set)
		}
	}
	remove := func(is func(v float64) bool, becomes float64) {
		in := make([]bool, len(a))
		for i, v := range a {
			in[i] = part[i] && is(v)
		}
		for _, set := range slowComponents(in, w, h) {
			if float64(len(set)) < limit && len(set) < island[set[0]] {
				for _, at := range set {
					a[at] = becomes
				}
			}
		}
	}
	remove(func(v float64) bool { return v > float64(float32(0.1)) }, 0)
	remove(func(v float64) bool { return v < float64(float32(0.9)) }, 1)
}

// slowDespeckle is the definition: the mean of plain removal over limits from n
// to 2n. Areas are whole, so it changes at whole numbers only.
func slowDespeckle(src colour.Plane, mask *colour.Plane, n float64) colour.Plane {
	part, mean := make([]bool, len(src.Pix)), make([]float64, len(src.Pix))
	for i := range part {
		part[i] = mask == nil || mask.Pix[i] > 0
	}
	for lo := n; lo < 2*n; {
		hi := min(math.Floor(lo)+1, 2*n)
		a := make([]float64, len(src.Pix))
		for i, v := range src.Pix {
			a[i] = float64(v)
		}
		plainDespeckle(a, part, src.W, src.H, hi)
		for i, v := range a {
			mean[i] += v * (hi - lo) / n
		}
		lo = hi
	}
	out := colour.NewPlane(src.W, src.H)
	for i, v := range mean {
		out.Pix[i] = float32(v)
	}
	return out
}

// specks is noise of several densities and levels: specks in pinholes in specks.
func specks(rng *rand.Rand, w, h int) colour.Plane {
	p := colour.NewPlane(w, h)
	levels := []float32{0, 0, 0.05, 0.1, 0.3, 0.5, 0.9, 0.95, 1, 1}
	coarse := 1 + rng.IntN(3)
	for y := range h {
		for x := range w {
			if x%coarse > 0 && rng.IntN(8) > 0 {
				p.Row(y)[x] = p.Row(y)[x-1]
			} else if y%coarse > 0 && rng.IntN(8) > 0 {
				p.Row(y)[x] = p.Row(y - 1)[x]
			} else {
				p.Row(y)[x] = levels[rng.IntN(len(levels))]
			}
		}
	}
	return p
}

func despeckle(t testing.TB, src colour.Plane, mask *colour.Plane, n float64) colour.Plane {
	t.Helper()
	return apply(t, src, nil, mask, Edge{Despeckle: n, About: 0.5})
}

func TestEdgeDespeckleIsItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	for i := range 400 {
		w, h := 1+rng.IntN(40), 1+rng.IntN(40)
		src := specks(rng, w, h)
		var mask *colour.Plane
		if i%2 == 1 {
			m := specks(rng, w, h)
			mask = &m
		}
		n := 0.6 + 20*rng.Float64()
		if i%3 == 0 {
			n = float64(1 + rng.IntN(30))
		}
		worst, at := worstOf(slowDespeckle(src, mask, n), despeckle(t, src, mask, n))
		require.LessOrEqual(t, worst, 2e-7, "round %d: %dx%d, n %g, pixel %d", i, w, h, n, at)
	}
}

// The words of the definition, on the smallest pictures that show them.
func TestEdgeDespeckleRemovesWhatIsSmall(t *testing.T) {
	for _, c := range []struct {
		name       string
		area       int
		n          float64
		speck      float64 // what becomes of a speck of alpha 0.8
		sketchHole float64 // and of a pinhole of alpha 0.2
	}{
		{"under n", 11, 12, 0, 1},
		{"n", 12, 12, 0, 1},
		{"half way", 18, 12, 0.4, 0.6},
		{"a quarter", 15, 12, 0.2, 0.8},
		{"2n", 24, 12, 0.8, 0.2},
		{"over 2n", 30, 12, 0.8, 0.2},
		{"fractional", 3, 2.4, 0.8 * 0.6 / 2.4, 1 - 0.8*0.6/2.4},
	} {
		speck, hole := colour.NewPlane(40, 9), colour.NewPlane(40, 9)
		for i := range hole.Pix {
			hole.Pix[i] = 1
		}
		for x := range c.area {
			speck.Row(4)[x+3], hole.Row(4)[x+3] = 0.8, 0.2
		}
		got := despeckle(t, speck, nil, c.n)
		assert.InDelta(t, c.speck, got.At(5, 4), 1e-6, c.name)
		assert.Zero(t, got.At(1, 4))
		got = despeckle(t, hole, nil, c.n)
		assert.InDelta(t, c.sketchHole, got.At(5, 4), 1e-6, c.name)
		assert.EqualValues(t, 1, got.At(1, 4))
	}
}

func TestEdgeDespeckleMovesNoEdge(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 2))
	src := colour.NewPlane(120, 90)
	for y := range src.H {
		for x := range src.W {
			d := 30 - math.Hypot(float64(x)-60, float64(y)-45)
			src.Row(y)[x] = float32(min(max(d/8+0.5, 0), 1))
		}
	}
	noisy := colour.Plane{W: src.W, H: src.H, Pix: slices.Clone(src.Pix)}
	for range 60 { // single pixels, well inside or outside
		x, y := rng.IntN(src.W), rng.IntN(src.H)
		if d := 30 - math.Hypot(float64(x)-60, float64(y)-45); math.Abs(d) > 7 {
			noisy.Row(y)[x] = 1 - src.At(x, y)
		}
	}
	requireSameBits(t, src, despeckle(t, noisy, nil, 12), "clean again")
}

// grow adds a random pixel beside the set, without enclosing any.
func growSet(rng *rand.Rand, set []bool, w, h int) (at int) {
	for {
		at = rng.IntN(len(set))
		x, y := at%w, at/w
		if set[at] || x == 0 || y == 0 || x == w-1 || y == h-1 || !(set[at-1] || set[at+1] || set[at-w] || set[at+w]) {
			continue
		}
		set[at] = true
		rest := make([]bool, len(set))
		for i, v := range set {
			rest[i] = !v
		}
		if len(slowComponents(rest, w, h)) == 1 {
			return at
		}
		set[at] = false
	}
}

// A speck, or a pinhole, that grows by single pixels changes by no more than
// 1/n each time.
func TestEdgeDespeckleNeverPops(t *testing.T) {
	const w, h = 30, 30
	rng := rand.New(rand.NewPCG(11, 3))
	for _, n := range []float64{4, 12, 25} {
		for _, inside := range []float32{0, 1} { // pinhole, speck
			set := make([]bool, w*h)
			set[15*w+15] = true
			src := colour.NewPlane(w, h)
			var before colour.Plane
			for range int(3 * n) {
				for i, v := range set {
					src.Pix[i] = 1 - inside
					if v {
						src.Pix[i] = inside
					}
				}
				got := despeckle(t, src, nil, n)
				if before.Pix != nil {
					worst, where := worstOf(before, got)
					require.LessOrEqual(t, worst, 1/n+1e-6, "n %g, %g, at %d", n, inside, where)
				}
				at := growSet(rng, set, w, h)
				before = got
				before.Pix[at] = got.Pix[15*w+15] // the new pixel comes with what the others have
			}
			require.Equal(t, src.Pix, despeckle(t, src, nil, n).Pix, "3n pixels stay")
		}
	}
}

// A speck that grows in a pinhole of a body: each of the two may change by 1/n
// a pixel, and so may the hole because of the speck.
func TestEdgeDespeckleNeverPopsOneInAnother(t *testing.T) {
	const w, h, n = 40, 40, 12
	rng := rand.New(rand.NewPCG(11, 5))
	for side := 3; side <= 9; side++ {
		src := colour.NewPlane(w, h)
		set := make([]bool, w*h)
		for i := range src.Pix {
			x, y := i%w, i/w
			if x < 20-side/2-1 || x > 20+side/2+1 || y < 20-side/2-1 || y > 20+side/2+1 {
				src.Pix[i] = 1
			}
		}
		set[20*w+20] = true
		src.Pix[20*w+20] = 1
		before := despeckle(t, src, nil, n)
		for range side*side - 2 {
			at := growSet(rng, set, w, h)
			if src.Pix[at] == 1 || src.Pix[at-1]+src.Pix[at+1]+src.Pix[at-w]+src.Pix[at+w] > 3 {
				break // it joins the body
			}
			if x, y := at%w, at/w; max(x-20, 20-x, y-20, 20-y) > side/2 {
				break
			}
			src.Pix[at] = 1
			got := despeckle(t, src, nil, n)
			before.Pix[at] = got.Pix[at]
			worst, where := worstOf(before, got)
			require.LessOrEqual(t, worst, 3./n+1e-6, "%d wide, at %d", side, where)
			before = got
		}
	}
}

// However specks and pinholes lie within each other, a small change of the
// setting is a small change of the matte: the limits that count at n but not at
// n' are a share |n'-n| of n below and 2|n'-n| above.
func TestEdgeDespeckleIsContinuousInItsSetting(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	for range 60 {
		src := specks(rng, 40, 40)
		n := 1 + 20*rng.Float64()
		more := 0.02 * rng.Float64()
		worst, at := worstOf(despeckle(t, src, nil, n), despeckle(t, src, nil, n+more))
		require.LessOrEqual(t, worst, 4*more/n+1e-6, "n %g + %g at %d", n, more, at)
	}
}

func TestEdgeDespeckleLeavesWhatHasNothingBeside(t *testing.T) {
	// Two islands of the mask: in one all is selected, in the other half.
	src, mask := colour.NewPlane(9, 3), colour.NewPlane(9, 3)
	for x := range 3 {
		src.Row(1)[x], mask.Row(1)[x] = 1, 1
	}
	for x := 5; x < 9; x++ {
		mask.Row(1)[x] = 1
		src.Row(1)[x] = float32(x % 2)
	}
	got := despeckle(t, src, &mask, 12)
	assert.Equal(t, []float32{1, 1, 1, 0, 0, 0, 0, 0, 0}, got.Row(1))
	small := colour.NewPlane(2, 2)
	assert.Equal(t, small, despeckle(t, small, nil, 12))
}

// A diagonal touch does not connect.
func TestEdgeDespeckleConnectsThroughSides(t *testing.T) {
	src := colour.NewPlane(20, 20)
	for i := range 14 {
		src.Row(i + 3)[i+3] = 1
	}
	assert.Equal(t, colour.NewPlane(20, 20), despeckle(t, src, nil, 2))
	for i := range 13 {
		src.Row(i + 3)[i+4] = 1 // now a staircase
	}
	requireSameBits(t, src, despeckle(t, src, nil, 12), "27 pixels")
}
