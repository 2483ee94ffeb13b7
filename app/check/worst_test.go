package check

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

const (
	discX, discY, discRadius = 300.0, 220.0, 150.0
	patchPx                  = 40
)

// disc is a matte whose edge is 3 px wide and where radius says.
func disc(width, radius func(angle float64) float64) colour.Plane {
	return drawn(600, 440, func(x, y float64) float64 {
		angle := math.Atan2(y-discY, x-discX)
		return 0.5 - (math.Hypot(x-discX, y-discY)-radius(angle))/width(angle)
	})
}

func always(v float64) func(float64) float64 { return func(float64) float64 { return v } }

// within returns v for angles between two, otherwise else.
func within(from, to, v, otherwise float64) func(float64) float64 {
	return func(angle float64) float64 {
		if angle > from && angle < to {
			return v
		}
		return otherwise
	}
}

// seen is a picture with the disc's colours, its edge 3 px wide.
func seen(w, h int) *colour.Image {
	m := colour.NewImage(w, h)
	for y := range h {
		for x := range w {
			k := min(max(0.5-(math.Hypot(float64(x)+0.5-discX, float64(y)+0.5-discY)-discRadius)/3, 0), 1)
			m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = float32(0.3+0.4*k), float32(0.5+0.05*k), float32(0.5-0.1*k)
		}
	}
	return m
}

func worst(t *testing.T, p colour.Plane, picture *colour.Image, n int) []Patch {
	t.Helper()
	out, err := WorstEdges(t.Context(), p, picture, n, patchPx, 2)
	require.NoError(t, err)
	for i, a := range out {
		require.True(t, a.X >= 0 && a.Y >= 0 && a.X+patchPx <= p.W && a.Y+patchPx <= p.H, "%v leaves the frame", a)
		if i > 0 {
			require.LessOrEqual(t, a.Badness, out[i-1].Badness)
		}
		for _, b := range out[:i] {
			require.True(t, math.Abs(float64(a.X-b.X)) >= patchPx || math.Abs(float64(a.Y-b.Y)) >= patchPx, "%v and %v overlap", a, b)
		}
	}
	return out
}

// angleOf returns the angle at which a patch's middle lies from the disc's.
func angleOf(p Patch) float64 {
	return math.Atan2(float64(p.Y)+patchPx/2-discY, float64(p.X)+patchPx/2-discX)
}

func TestWorstEdgesFindsEachTrouble(t *testing.T) {
	// What is wrong lies between these angles: about 100 px of edge, in which two
	// patches have room.
	const from, to = -2.4, -1.7
	tooth := func(angle float64) float64 {
		if angle > from && angle < to {
			return discRadius + 2*math.Sin(angle*discRadius) // every 6 px, 2 px either way
		}
		return discRadius
	}
	for name, p := range map[string]colour.Plane{
		"wide":   disc(within(from, to, 12, 3), always(discRadius)),
		"ragged": disc(always(3), tooth),
		"off":    disc(always(3), within(from, to, discRadius+3, discRadius)),
	} {
		t.Run(name, func(t *testing.T) {
			found := worst(t, p, seen(p.W, p.H), 5)
			require.Len(t, found, 5)
			for _, patch := range found[:2] {
				assert.Greater(t, angleOf(patch), from-0.1, "%v", patch)
				assert.Less(t, angleOf(patch), to+0.1, "%v", patch)
			}
			assert.Greater(t, found[0].Badness, 1.5, "pixels of trouble")
			assert.Less(t, found[4].Badness, 0.7, "and hardly any elsewhere")
		})
	}
}

// Badness is in pixels: an edge that is wider by 6 px all through a patch, and
// one that lies 3 px off.
func TestBadnessIsInPixels(t *testing.T) {
	long := func(width func(x float64) float64, at float64) colour.Plane { // an upright strip would turn; this is level
		return drawn(2000, 120, func(x, y float64) float64 { return 0.5 - (y-at)/width(x) })
	}
	picture := colour.NewImage(2000, 120)
	for y := range 120 {
		for x := range 2000 {
			if y < 60 {
				picture.R.Row(y)[x] = 0.5
			}
		}
	}
	wide := long(func(x float64) float64 {
		if x > 900 && x < 1100 {
			return 10
		}
		return 2.5
	}, 60)
	found := worst(t, wide, nil, 3)
	mean := 0.8 * (2.5*1800 + 10*200) / 2000
	assert.InDelta(t, 0.8*10-mean, found[0].Badness, 0.3)
	assert.True(t, found[0].X >= 900 && found[0].X+patchPx <= 1100, "%v", found[0])

	off := long(always(2.5), 63)
	found = worst(t, off, picture, 1)
	assert.InDelta(t, 3, found[0].Badness, 0.3)
	found = worst(t, off, nil, 1)
	assert.Less(t, found[0].Badness, 0.1, "without a picture nothing is off")
	found = worst(t, long(always(2.5), 60), picture, 1)
	assert.Less(t, found[0].Badness, 0.1)
}

// An even picture says nothing about where the edge should be, and a veil far
// from the edge is not one.
func TestWhatIsNoTrouble(t *testing.T) {
	p := disc(always(3), always(discRadius))
	even := colour.NewImage(p.W, p.H)
	assert.Less(t, worst(t, p, even, 1)[0].Badness, 0.5)
	veiled := colour.NewPlane(p.W, p.H)
	for i, v := range p.Pix {
		veiled.Pix[i] = v
		if x, y := i%p.W, i/p.W; x < 100 && y < 100 {
			veiled.Pix[i] = 0.3
		}
	}
	assert.Equal(t, worst(t, p, even, 4), worst(t, veiled, even, 4))
}

func TestFewerPatchesWhereThereIsLessEdge(t *testing.T) {
	p := drawn(200, 200, func(x, y float64) float64 { return 0.5 - (math.Hypot(x-100, y-100)-8)/3 })
	found := worst(t, p, nil, 50)
	assert.NotEmpty(t, found)
	assert.Less(t, len(found), 10)
	assert.Empty(t, worst(t, p, nil, 0))
	assert.Empty(t, worst(t, colour.NewPlane(100, 100), nil, 3))
	small, err := WorstEdges(t.Context(), drawn(20, 12, func(x, y float64) float64 { return x / 20 }), nil, 3, patchPx, 1)
	require.NoError(t, err)
	require.Len(t, small, 1, "a frame smaller than a patch is one")
	assert.Equal(t, [2]int{0, 0}, [2]int{small[0].X, small[0].Y})
}

func TestWorstEdgesErrors(t *testing.T) {
	p := colour.NewPlane(40, 30)
	_, err := WorstEdges(t.Context(), colour.Plane{}, nil, 1, 40, 0)
	require.EqualError(t, err, "check: the matte is empty")
	_, err = WorstEdges(t.Context(), p, nil, 1, 7, 0)
	require.EqualError(t, err, "check: a patch of the edge is 7 px wide, want 8 or more")
	_, err = WorstEdges(t.Context(), p, colour.NewImage(41, 30), 1, 40, 0)
	require.EqualError(t, err, "check: the matte is 40 x 30, its picture 41 x 30")
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = WorstEdges(ctx, p, nil, 1, 40, 0)
	require.ErrorIs(t, err, context.Canceled)
}

func TestWorstEdgesDoesNotDependOnWorkers(t *testing.T) {
	p := shape(300, 170, 0, true)
	picture := seen(300, 170)
	want, err := WorstEdges(t.Context(), p, picture, 6, 32, 1)
	require.NoError(t, err)
	require.Len(t, want, 6)
	for _, workers := range []int{2, 7, 0} {
		got, err := WorstEdges(t.Context(), p, picture, 6, 32, workers)
		require.NoError(t, err)
		require.Equal(t, want, got, "%d workers", workers)
	}
}

// slowCells are what the definition of badness adds up, piece by piece.
type slowCells struct {
	w            int
	length, area []float64
	ragged       []float64
	mean         float64
}

func newSlowCells(p colour.Plane) *slowCells {
	w, h := (p.W+7)/8, (p.H+7)/8
	s := &slowCells{w, make([]float64, w*h), make([]float64, w*h), make([]float64, w*h), 0}
	angles := make([][][2]float64, w*h) // length and angle of every piece
	for y := range p.H {
		for x := range p.W {
			if v := p.At(x, y); v > 0.1 && v < 0.9 {
				s.area[y/8*w+x/8]++
			}
		}
		if y+1 < p.H {
			colour.ContourRow(p, y, func(x int, one colour.Segment) {
				c := y/8*w + x/8
				angles[c] = append(angles[c], [2]float64{one.Length(), math.Atan2(float64(one.Y1-one.Y0), float64(one.X1-one.X0))})
			})
		}
	}
	for c, list := range angles {
		along, across := 0.0, 0.0
		for _, a := range list {
			s.length[c] += a[0]
			along += a[0] * math.Cos(2*a[1])
			across += a[0] * math.Sin(2*a[1])
		}
		s.ragged[c] = 4 * (s.length[c] - math.Hypot(along, across))
	}
	all, edge := 0.0, 0.0
	for c := range s.area {
		if !s.near(c) {
			s.area[c] = 0
		}
		all, edge = all+s.length[c], edge+s.area[c]
	}
	s.mean = edge / all
	return s
}

func (s *slowCells) near(c int) bool {
	for k, l := range s.length {
		dx, dy := k%s.w-c%s.w, k/s.w-c/s.w
		if l > 0 && max(dx, -dx, dy, -dy) <= 1 {
			return true
		}
	}
	return false
}

// badness is that of the patch at (x0,y0), which lies within the frame.
func (s *slowCells) badness(x0, y0, size int) float64 {
	tent := func(cell, from int) float64 {
		return max(0, 1-math.Abs(float64(8*cell+4)-float64(from)-float64(size)/2)/(float64(size)/2))
	}
	across, wider, ragged := 0.0, 0.0, 0.0
	for x := range s.w {
		across += 8 * tent(x, 0)
	}
	for c := range s.length {
		k := tent(c%s.w, x0) * tent(c/s.w, y0)
		wider += k * (s.area[c] - s.mean*s.length[c])
		ragged += k * s.ragged[c]
	}
	return (max(0, wider) + ragged) / across
}

func TestBadnessAgreesWithItsDefinition(t *testing.T) {
	for _, noisy := range []bool{false, true} {
		p := shape(300, 153, 0, noisy)
		slow := newSlowCells(p)
		found, err := WorstEdges(t.Context(), p, nil, 4, 40, 2)
		require.NoError(t, err)
		require.Len(t, found, 4)
		for _, patch := range found {
			assert.InDelta(t, slow.badness(patch.X, patch.Y, 40), patch.Badness, 1e-4, "%v", patch)
		}
		most := 0.0
		for y := 0; y <= 153-40; y += 8 {
			for x := 0; x <= 300-40; x += 8 {
				most = max(most, slow.badness(x, y, 40))
			}
		}
		assert.LessOrEqual(t, most, found[0].Badness+1e-4, "none is worse")
	}
}
