package colour

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

var background = context.Background()

// testPicture is sand, water and a hard edge between them under noise of the
// given sigma: flats, ramps, an edge and texture in one picture.
func testPicture(w, h int, sigma float64, seed uint64) *Image {
	rng := rand.New(rand.NewPCG(seed, 1))
	m := NewImage(w, h)
	for y := range h {
		for x := range w {
			u, v := float64(x)/float64(w), float64(y)/float64(h)
			c := RGB{0.12 + 0.1*v, 0.38 + 0.2*u, 0.45 + 0.15*v}
			if math.Hypot(u-0.5, v-0.5) < 0.3 {
				c = RGB{0.72 - 0.1*u, 0.58, 0.42 + 0.05*math.Sin(40*u)}
			}
			i := y*w + x
			m.R.Pix[i] = float32(c.R + sigma*rng.NormFloat64())
			m.G.Pix[i] = float32(c.G + sigma*rng.NormFloat64())
			m.B.Pix[i] = float32(c.B + sigma*rng.NormFloat64())
		}
	}
	return m
}

// randomPicture holds colours spread evenly over the cube [lo,hi]^3.
func randomPicture(w, h int, lo, hi float64, seed uint64) *Image {
	rng := rand.New(rand.NewPCG(seed, 2))
	m := NewImage(w, h)
	for _, p := range m.planes() {
		for i := range p.Pix {
			p.Pix[i] = float32(lo + (hi-lo)*rng.Float64())
		}
	}
	return m
}

func (m *Image) planes() [3]Plane { return [3]Plane{m.R, m.G, m.B} }

// worst returns the largest difference between two pictures and where it is.
func worst(t *testing.T, got, want *Image) (d float64, x, y int) {
	t.Helper()
	gw, gh := got.Size()
	ww, wh := want.Size()
	require.Equal(t, [2]int{ww, wh}, [2]int{gw, gh})
	for c, p := range got.planes() {
		for i, v := range p.Pix {
			e := math.Abs(float64(v) - float64(want.planes()[c].Pix[i]))
			if !(e <= d) {
				d, x, y = e, i%gw, i/gw
			}
		}
	}
	return d, x, y
}

// requireSameBits asks of a kernel one result for any number of workers. run
// returns the planes it made.
func requireSameBits(t *testing.T, run func(workers int) []Plane) {
	t.Helper()
	want := run(1)
	for _, workers := range []int{2, 7} {
		got := run(workers)
		require.Len(t, got, len(want))
		for c := range want {
			for i, v := range want[c].Pix {
				if math.Float32bits(v) != math.Float32bits(got[c].Pix[i]) {
					t.Fatalf("plane %d, sample %d: %v with %d workers, want %v as with 1", c, i, got[c].Pix[i], workers, v)
				}
			}
		}
	}
}

// requireFrugal asks of run less memory a call than one row of the planes it
// works on, once its buffers are there.
func requireFrugal(t *testing.T, run func()) {
	t.Helper()
	run()
	const calls = 20
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for range calls {
		run()
	}
	runtime.ReadMemStats(&after)
	require.Less(t, (after.TotalAlloc-before.TotalAlloc)/calls, uint64(2048), "bytes allocated in a call")
}
