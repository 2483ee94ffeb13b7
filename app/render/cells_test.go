package render

import (
	"context"
	"image"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// plainly returns a renderer that makes everything everywhere, whatever the
// masks.
func plainly(s Source, workers int) *Renderer {
	r := New(s, workers, DefaultCache)
	r.touched = func(context.Context, *colour.Plane, int) (*cells, error) { return nil, nil }
	return r
}

// What is made in the cells that masks touch, one request after the other, has
// the bits of what is made everywhere: for every stage of an edge treatment, on
// proxies, in regions, for any number of workers.
func TestCellsHaveTheBitsOfTheWhole(t *testing.T) {
	const w, h = 420, 300
	rng := rand.New(rand.NewPCG(11, 3))
	s := newFixture(t, w, h)
	kept := map[int]*Renderer{1: New(s, 1, DefaultCache), 2: New(s, 2, DefaultCache), 7: New(s, 7, DefaultCache)}
	rounds := 90
	if testing.Short() {
		rounds = 12
	}
	partly := 0
	for i := range rounds {
		s.setEdge(edgeStages[i%len(edgeStages)])
		s.randomMasks(rng)
		s.matte().Pick.Smooth = rng.IntN(3) > 0
		s.study.Base.Exposure.Fix(0.2 * float64(rng.IntN(2)))
		s.matte().Pick.Model = selection.Model(rng.IntN(int(selection.Models)))
		s.matte().Pick.Normal = [3]float64{0.6, 0.8 * float64(rng.IntN(2)), -0.8}
		q := s.request()
		q.Factor, q.Draft = 1+rng.IntN(3), rng.IntN(2) == 0
		if rng.IntN(2) == 0 {
			q.Region.Min = image.Pt(rng.IntN(w), rng.IntN(h))
			q.Region.Max = q.Region.Min.Add(image.Pt(1+rng.IntN(150), 1+rng.IntN(100)))
		}
		want, err := plainly(s, 2).Matte(t.Context(), q)
		require.NoError(t, err)
		for workers, r := range kept {
			got, err := r.Matte(t.Context(), q)
			require.NoError(t, err)
			requireSame(t, want, got, i, workers, q.Region, q.Factor, q.Draft)
		}
		p, err := kept[1].part(t.Context(), q)
		require.NoError(t, err)
		m, err := p.drawnMask(t.Context())
		require.NoError(t, err)
		if c, _ := touched(t.Context(), m, 1); c != nil && !c.empty() {
			partly++
		}
		if i%5 == 4 { // the rest of a part of which some is made
			s.requireWhole(t, kept[2], q)
		}
	}
	assert.Greater(t, partly, rounds/3, "most requests need a part alone")
}

// edgeStages are the stages alone, in forms that take different ways, none, and
// all.
var edgeStages = []selection.Edge{
	selection.NeutralEdge(),
	{Despeckle: 12, About: 0.5},
	{Align: 5, About: 0.5},
	{Align: 100, About: 0.5},
	{Harden: 0.4, About: 0.4},
	{Grow: 2.5, About: 0.5},
	{Grow: -3, About: 0.5},
	{Soften: 1.2, About: 0.5},
	{Soften: 9, About: 0.5},
	everyStage,
}

// randomMasks gives the matte up to three masks.
func (s *fixture) randomMasks(rng *rand.Rand) {
	w, h := s.picture.Size()
	s.matte().Masks = nil
	for range rng.IntN(4) {
		kind := []study.Kind{study.Keep, study.Keep, study.Drop}[rng.IntN(3)]
		k := s.blob(rng.IntN(w), rng.IntN(h), 0.02+0.4*rng.Float64()*rng.Float64(), 3+rng.IntN(20))
		k.Inner, k.Outer = 10*rng.Float64(), 10*rng.Float64()
		m := s.study.AddMask(s.matte(), "any", kind, k)
		m.Rounded, m.Off = rng.IntN(2) == 0, rng.IntN(6) == 0
	}
}

// requireWhole demands everything else of a request, as it is made plainly.
func (s *fixture) requireWhole(t *testing.T, r *Renderer, q Request) {
	plain := plainly(s, 1)
	for name, get := range map[string]func(r *Renderer) []colour.Plane{
		"pick": func(r *Renderer) []colour.Plane {
			m, err := r.Pick(t.Context(), q)
			require.NoError(t, err)
			return []colour.Plane{m}
		},
		"mask": func(r *Renderer) []colour.Plane {
			m, err := r.Mask(t.Context(), q)
			require.NoError(t, err)
			return []colour.Plane{m}
		},
		"picked": func(r *Renderer) []colour.Plane {
			m, err := r.Picked(t.Context(), q)
			require.NoError(t, err)
			return planesOf(m)
		},
		"shown": func(r *Renderer) []colour.Plane {
			m, err := r.Shown(t.Context(), q)
			require.NoError(t, err)
			return planesOf(m)
		},
	} {
		want, got := get(plain), get(r)
		for c := range want {
			requireSame(t, want[c], got[c], name, q.Region, q.Factor)
		}
	}
	want, err := plain.Reasons(t.Context(), q)
	require.NoError(t, err)
	got, err := r.Reasons(t.Context(), q)
	require.NoError(t, err)
	require.Equal(t, want, got)
}

// A vertex that is dragged among the cells that are made makes none anew; one
// that leaves them makes those it enters.
func TestADraggedVertexConvertsWhatItEnters(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.setEdge(everyStage)
	key := s.blob(0, 0, 0, 4)
	key.Inner, key.Outer = 0, 0
	key.Points = []mask.Point{{X: 100, Y: 70}, {X: 150, Y: 70}, {X: 150, Y: 110}, {X: 100, Y: 110}}
	s.study.AddMask(s.matte(), "square", study.Keep, key)
	r := New(s, 1, DefaultCache)
	at := func(x float64) (ran []Stage) {
		before := r.Runs()
		s.matte().Masks[0].Keys[0].Points[1].X = x
		got, err := r.Matte(t.Context(), s.request())
		require.NoError(t, err)
		want, err := plainly(s, 1).Matte(t.Context(), s.request())
		require.NoError(t, err)
		requireSame(t, want, got, x)
		for _, stage := range []Stage{Decode, SmoothNoise, Base, Convert, Weigh, Mask, Despeckle, Align, Harden, Times, Grow, Soften} {
			if r.Runs()[stage] != before[stage] {
				ran = append(ran, stage)
			}
		}
		return ran
	}
	rest := []Stage{Mask, Despeckle, Align, Harden, Times, Grow, Soften}
	pick := []Stage{SmoothNoise, Base, Convert, Weigh}
	assert.Equal(t, append(append([]Stage{Decode}, pick...), rest...), at(150))
	assert.Equal(t, rest, at(155))
	assert.Equal(t, rest, at(159.5))
	assert.Equal(t, append(pick, rest...), at(165))
	assert.Equal(t, rest, at(120))
	assert.Empty(t, at(165))
}

// Where masks keep nothing, nothing is made.
func TestMasksOfNothingMakeNothing(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.addMasks()
	s.setEdge(everyStage)
	s.matte().Masks[0].Off = true
	r := New(s, 0, DefaultCache)
	got, err := r.Matte(t.Context(), s.request())
	require.NoError(t, err)
	requireSame(t, colour.NewPlane(320, 180), got)
	assert.Equal(t, map[Stage]int{Decode: 1, Mask: 1, Bound: 1}, r.Runs())
}

// Requests with other masks at once neither wait for each other nor write what
// the other reads.
func TestOtherMasksAtOnce(t *testing.T) {
	s := newFixture(t, 320, 180)
	r := New(s, 2, DefaultCache)
	var group sync.WaitGroup
	for g := range 6 {
		other := &fixture{s.still, s.frame, study.New(s.study.Clip)}
		m := other.study.AddMatte("skin", selection.LCh)
		m.Pick = study.ConstantPick(fittedPick(t, s.frame, s.study), true)
		other.setEdge(everyStage)
		other.randomMasks(rand.New(rand.NewPCG(uint64(g), 1)))
		want, err := plainly(s, 1).Matte(t.Context(), other.request())
		require.NoError(t, err)
		group.Go(func() {
			for i := range 4 {
				q := other.request()
				q.Frame = 1 + i
				got, err := r.Matte(t.Context(), q)
				assert.NoError(t, err)
				assert.Equal(t, want.Pix, got.Pix)
			}
		})
	}
	group.Wait()
}

// Sets of cells against single pixels.
func TestCells(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 9))
	for range 20 {
		size := image.Pt(1+rng.IntN(150), 1+rng.IntN(150))
		draw := func() (*cells, colour.Plane) {
			m := colour.NewPlane(size.X, size.Y)
			for range rng.IntN(9) {
				m.Pix[rng.IntN(len(m.Pix))] = math.SmallestNonzeroFloat32
			}
			c, err := touched(t.Context(), &m, 2)
			require.NoError(t, err)
			return c, m
		}
		a, ma := draw()
		b, mb := draw()
		in := func(c *cells, x, y int) bool {
			return c == nil || c.in[y/cellHeight*c.across+x/cellWidth]
		}
		lit := func(m colour.Plane, x, y int) (any bool) {
			for v := y / cellHeight * cellHeight; v < min(y/cellHeight*cellHeight+cellHeight, m.H); v++ {
				for u := x / cellWidth * cellWidth; u < min(x/cellWidth*cellWidth+cellWidth, m.W); u++ {
					any = any || m.At(u, v) > 0
				}
			}
			return any
		}
		factor := 1 + rng.IntN(3)
		detail := image.Pt(size.X*factor-rng.IntN(factor), size.Y*factor-rng.IntN(factor))
		contains, none := true, true
		count := map[image.Point]int{}
		both, fine := a.and(b), a.inDetail(factor, detail)
		if a != nil {
			for _, r := range a.parts() {
				for y := r.Min.Y; y < r.Max.Y; y++ {
					for x := r.Min.X; x < r.Max.X; x++ {
						count[image.Pt(x, y)]++
					}
				}
			}
		}
		for y := range size.Y {
			for x := range size.X {
				la, lb := lit(ma, x, y), lit(mb, x, y)
				require.Equal(t, la, in(a, x, y))
				require.Equal(t, la || lb, in(both, x, y))
				require.True(t, !la || in(fine, min(x*factor, detail.X-1), min(y*factor, detail.Y-1)))
				if b != nil {
					require.Equal(t, la && !lb, in(a.but(b), x, y))
				}
				if a != nil {
					n := 0
					if la {
						n = 1
					}
					require.Equal(t, n, count[image.Pt(x, y)])
				}
				contains, none = contains && (la || !lb), none && !la
			}
		}
		require.Equal(t, contains, a.contains(b))
		require.Equal(t, none, a.empty())
	}
}
