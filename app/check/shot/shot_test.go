package shot

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A reel is a clip that is drawn as it is read: a red square on green, under noise.
type reel struct {
	w, h   int
	left   func(n int) int // of the square
	sigma  float64
	broken int // a frame that cannot be read
	reads  atomic.Int32
}

const squareSide, squareTop = 60, 30

var errBroken = errors.New("clip: frame is cut short")

func (r *reel) Frame(_ context.Context, n int) (*colour.Image, error) {
	r.reads.Add(1)
	if n == r.broken {
		return nil, errBroken
	}
	rng := rand.New(rand.NewPCG(uint64(n), 5))
	m := colour.NewImage(r.w, r.h)
	for y := range r.h {
		for x := range r.w {
			c := [3]float64{0.25, 0.5, 0.3}
			if r.in(n, x, y) {
				c = [3]float64{0.7, 0.3, 0.25}
			}
			for k, p := range []colour.Plane{m.R, m.G, m.B} {
				p.Row(y)[x] = float32(c[k] + r.sigma*rng.NormFloat64())
			}
		}
	}
	return m, nil
}

func (r *reel) in(n, x, y int) bool {
	left := r.left(n)
	return x >= left && x < left+squareSide && y >= squareTop && y < squareTop+squareSide
}

func (r *reel) truth(n int) colour.Plane {
	p := colour.NewPlane(r.w, r.h)
	for y := range r.h {
		for x := range r.w {
			if r.in(n, x, y) {
				p.Row(y)[x] = 1
			}
		}
	}
	return p
}

func standing(int) int { return 50 }

// shot returns a shot of the reel's red, with a keep mask of points at each of the
// frames that keys names.
func (r *reel) shot(t testing.TB, count int, keys map[int][]mask.Point) *Shot {
	doc := study.New(study.Clip{Path: "reel", First: 1, Count: count, Noise: [3]float64{r.sigma, r.sigma, r.sigma}})
	m := doc.AddMatte("red", selection.HSL)
	m.Pick.Limits[selection.Hue].Off = false
	m.Pick.Limits[selection.Hue].Fix(selection.Range{From: -30, To: 30, Before: 20, After: 20})
	doc.AddDab(m, study.Dab{Frame: 1, X: 80, Y: 60, Radius: 10, Kind: study.Keep})
	doc.AddDab(m, study.Dab{Frame: 1, X: 20, Y: 60, Radius: 10, Kind: study.Drop})
	if len(keys) > 0 {
		track := mask.Track{}
		for n, points := range keys {
			track.SetKey(mask.Key{Frame: n, Points: points, Opacity: 1, Outer: 4})
		}
		doc.AddMask(m, "about", study.Keep, track.Keys[0]).Track = track
	}
	s := &Shot{Source: r, Study: doc, Settings: &doc.Mattes[0].Settings, Dabs: doc.Mattes[0].Dabs}
	for n := 1; n <= count; n++ {
		s.Frames = append(s.Frames, n)
	}
	return s
}

// rectangle is a polygon of four points.
func rectangle(x0, y0, x1, y1 float64) []mask.Point {
	return []mask.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// judgedFrames returns the figures of all frames of a shot.
func judgedFrames(t testing.TB, s *Shot) map[int]Frame {
	t.Helper()
	out := map[int]Frame{}
	require.NoError(t, s.Each(t.Context(), s.Frames, func(f Frame) { out[f.Number] = f }))
	require.Len(t, out, len(s.Frames))
	return out
}

func TestShotOfAStandingSquare(t *testing.T) {
	r := &reel{w: 200, h: 120, left: standing, sigma: 0.01}
	all := judgedFrames(t, r.shot(t, 4, map[int][]mask.Point{1: rectangle(40, 20, 125, 100)}))
	for n, f := range all {
		require.NoError(t, f.Err)
		assert.InDelta(t, squareSide*squareSide/(200.*120), f.Area, 0.001)
		assert.InDelta(t, 0, *f.Band, 0.001)
		assert.Zero(t, *f.Cut)
		assert.Zero(t, *f.MaskedEdge, "the pick makes all of the edge")
		assert.InDelta(t, 0, *f.Dropped, 0.01)
		if n == 1 {
			assert.Nil(t, f.Flicker)
			continue
		}
		assert.Less(t, *f.Flicker, 0.02, "noise alone")
		assert.Less(t, *f.Change, 0.01)
	}
}

// A mask that moves by one pixel over what stands still makes the matte flicker:
// of h x (w+1) pixels that the matte covers on either frame two columns of h change, each
// by all of itself.
func TestFlickerOfAMovedMask(t *testing.T) {
	r := &reel{w: 200, h: 120, left: standing}
	s := r.shot(t, 2, map[int][]mask.Point{1: rectangle(60, 40, 90, 80), 2: rectangle(61, 40, 91, 80)})
	for i := range s.Settings.Masks[0].Keys {
		s.Settings.Masks[0].Keys[i].Outer = 0
	}
	f := judgedFrames(t, s)[2]
	assert.InDelta(t, math.Sqrt(2./31), *f.Flicker, 1e-6)
	assert.Zero(t, *f.Change)
	assert.InDelta(t, 128, *f.Cut, 13, "all of the outline, in the middle of a band of 3 px within")
}

// What moves with its picture does not flicker.
func TestMovedSquareDoesNotFlicker(t *testing.T) {
	r := &reel{w: 200, h: 120, left: func(n int) int { return 40 + 7*n }, sigma: 0.008}
	for n, f := range judgedFrames(t, r.shot(t, 5, nil)) {
		if n > 1 {
			assert.Less(t, *f.Flicker, 0.02)
		}
		assert.Nil(t, f.Band, "there are no masks")
		assert.Nil(t, f.MaskedEdge)
	}
}

// A keep mask whose edge runs through the square with feather over 10 px: alpha in
// the band is the feather's weight, 1/2 in the mean, where the square is.
func TestLeakInABandOfKnownWidth(t *testing.T) {
	r := &reel{w: 200, h: 120, left: standing}
	s := r.shot(t, 1, map[int][]mask.Point{1: rectangle(20, 10, 80, 110)}) // the right edge cuts through
	k := &s.Settings.Masks[0].Keys[0]
	k.Inner, k.Outer = 5, 5
	f := judgedFrames(t, s)[1]
	band := 10*float64(60+60+100+100) + 25*(math.Pi-4) // rounded outside, mitred inside
	assert.InDelta(t, 0.5*10*squareSide/band, *f.Band, 0.004)
	assert.InDelta(t, squareSide, *f.Cut, 3)
	// Of the 30 x 60 px that are left the mask ends one side, and 5 px of two more.
	assert.InDelta(t, 70./180, *f.MaskedEdge, 0.02)
}

// Frames that cannot be read, and gaps, break what is between frames alone.
func TestBrokenFramesAndGaps(t *testing.T) {
	r := &reel{w: 160, h: 100, left: standing, broken: 3}
	s := r.shot(t, 9, nil)
	s.Frames = []int{1, 2, 3, 4, 5, 7, 8}
	all := judgedFrames(t, s)
	for n, f := range all {
		if n == 3 {
			require.ErrorIs(t, f.Err, errBroken)
			continue
		}
		require.NoError(t, f.Err)
		assert.Equal(t, n == 2 || n == 5 || n == 8, f.Flicker != nil, "frame %d", n)
		assert.Equal(t, f.Flicker != nil, f.Change != nil)
	}
	var tl Timeline
	require.Equal(t, s.Frames, tl.Update(s))
	for _, f := range all {
		tl.Add(f)
	}
	assert.Equal(t, []int{6, 1}, []int{tl.Summary().Judged, tl.Summary().Unjudged})
	worst := tl.Worst(10)
	require.NotEmpty(t, worst)
	assert.Equal(t, 3, worst[0].Frame)
	assert.Equal(t, "cannot be judged: clip: frame is cut short", worst[0].Sentence)
	require.EqualError(t, s.Each(t.Context(), []int{6}, nil), "shot: frame 6 is not one of the shot's")
}

func TestEachStopsWithItsContext(t *testing.T) {
	r := &reel{w: 160, h: 100, left: standing}
	s := r.shot(t, 40, nil)
	s.Workers = 2
	ctx, cancel := context.WithCancel(t.Context())
	n := 0
	err := s.Each(ctx, s.Frames, func(Frame) {
		if n++; n == 3 {
			cancel()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
	require.Equal(t, 3, n, "none is given after the context ended")
	require.Less(t, int(r.reads.Load()), 20)
}

// requireSameFigures compares all but the keys.
func requireSameFigures(t *testing.T, want, got map[int]Frame, what string) {
	t.Helper()
	for n, f := range want {
		g := got[n]
		f.key, g.key = "", ""
		f.IoU, g.IoU, f.DTSSD, g.DTSSD = nil, nil, nil, nil
		require.Equal(t, f, g, "frame %d, %s", n, what)
	}
}

func TestFiguresDoNotDependOnWorkersOrOrder(t *testing.T) {
	r := &reel{w: 200, h: 120, left: func(n int) int { return 40 + n }, sigma: 0.02}
	s := r.shot(t, 30, map[int][]mask.Point{1: rectangle(30, 20, 120, 100), 30: rectangle(59, 24, 130, 100)})
	want := judgedFrames(t, s)
	for _, workers := range []int{1, 2, 7} {
		s.Workers = workers
		got := map[int]Frame{}
		require.NoError(t, s.Each(t.Context(), Order(s.Frames, 8), func(f Frame) { got[f.Number] = f }))
		requireSameFigures(t, want, got, fmt.Sprint(workers, " workers"))
	}
	requireSameFigures(t, judgedWhole(t, s), want, "whole frame")
	s.Truth = func(_ context.Context, n int) (colour.Plane, error) { return r.truth(n), nil }
	withTruth := judgedFrames(t, s)
	requireSameFigures(t, want, withTruth, "with a truth")
	assert.Greater(t, *withTruth[9].IoU, 0.9)
	assert.NotNil(t, withTruth[9].DTSSD)
	assert.Nil(t, withTruth[1].DTSSD)
	s.Factor = 2
	require.EqualError(t, s.Each(t.Context(), s.Frames, nil), "shot: proxy factor is 2, want 1 where there is a truth")
}

func TestOrder(t *testing.T) {
	require.Equal(t, []int{1, 4, 9, 2, 3, 5, 7}, Order([]int{1, 2, 3, 4, 5, 7, 9}, 3))
	require.Equal(t, []int{1, 2}, Order([]int{1, 2}, 0))
	require.Empty(t, Order(nil, 5))
}

// After an edit the frames that it reaches are judged anew, and no others.
func TestTimelineAcrossEdits(t *testing.T) {
	r := &reel{w: 200, h: 120, left: standing, sigma: 0.01}
	about := rectangle(40, 20, 125, 100)
	s := r.shot(t, 40, map[int][]mask.Point{1: about, 10: about, 20: about, 30: about, 40: about})
	var tl Timeline
	missing := tl.Update(s)
	require.Equal(t, s.Frames, missing)
	require.NoError(t, s.Each(t.Context(), missing, tl.Add))
	require.Empty(t, tl.Update(s))

	edited := *s
	edited.Study = s.Study.Clone()
	edited.Settings = &edited.Study.Mattes[0].Settings
	edited.Settings.Masks[0].Keys[2].Points = rectangle(43, 20, 128, 100) // at 20
	missing = tl.Update(&edited)
	require.Equal(t, span(11, 30), missing, "key to key, and the frame whose predecessor changed")
	stale := 0
	for _, j := range tl.Judged() {
		if j.Stale {
			stale++
		}
	}
	require.Equal(t, 20, stale)
	require.Equal(t, 20, tl.Summary().Stale)
	before := tl.Judged()[19]
	require.NoError(t, s.Each(t.Context(), []int{20}, tl.Add))
	require.Equal(t, before, tl.Judged()[19], "what was judged of the old study is left out")
	require.NoError(t, edited.Each(t.Context(), missing, tl.Add))
	require.Empty(t, tl.Update(&edited))
	require.Zero(t, tl.Summary().Stale)

	edited.Frames = span(5, 15)
	require.Empty(t, tl.Update(&edited)[1:], "the first has no predecessor now")
	require.Len(t, tl.Judged(), 11)
	edited.Dabs = edited.Dabs[1:]
	require.Len(t, tl.Update(&edited), 11)
}

func span(from, to int) (numbers []int) {
	for n := from; n <= to; n++ {
		numbers = append(numbers, n)
	}
	return numbers
}

// Through a renderer that is given, figures are the same, and what several shots have
// in common is made once.
func TestShotsShareARenderer(t *testing.T) {
	film := &reel{w: 200, h: 120, left: standing, sigma: 0.01}
	s := film.shot(t, 3, nil)
	judge := func() (out []Frame) {
		require.NoError(t, s.Each(t.Context(), []int{2, 3}, func(f Frame) { out = append(out, f) }))
		return out
	}
	s.Workers = 1
	want := judge()
	s.Renderer, s.Source = render.New(film, 2, render.DefaultCache/16), nil
	before := film.reads.Load()
	require.Equal(t, want, judge())
	require.Equal(t, before+3, film.reads.Load())
	s.Settings.Edge.Soften = study.Constant(2)
	soft := judge()
	require.Equal(t, before+3, film.reads.Load())
	require.Greater(t, soft[0].EdgeWidth, want[0].EdgeWidth)
	require.Equal(t, 3, s.Renderer.Runs()[render.Weigh])
	require.NotEqual(t, s.Key(2), s.Key(3))
}

// A key that was set 12 px too far to the right over what stands still is told, by
// about as much, and at the key, whether or not it cuts.
func TestShiftOfAMovedKey(t *testing.T) {
	r := &reel{w: 240, h: 140, left: standing, sigma: 0.01}
	for _, wide := range []float64{5, 30} {
		at := func(right float64) []mask.Point {
			return rectangle(50-wide+right, squareTop-wide/2, 50+squareSide+wide+right, squareTop+squareSide+wide/2)
		}
		s := r.shot(t, 25, map[int][]mask.Point{1: at(0), 9: at(0), 13: at(12), 17: at(0), 25: at(0)})
		var line Timeline
		require.NoError(t, s.Each(t.Context(), line.Update(s), line.Add))
		all := line.Judged()
		assert.InDelta(t, 12, all[12].Shifts[0].Right, 1)
		assert.InDelta(t, 6, all[10].Shifts[0].Right, 1)
		assert.InDelta(t, 0, all[12].Shifts[0].Down, 0.5)
		assert.InDelta(t, 0, all[1].Shifts[0].Right, 0.5)
		found := line.Worst(3)
		require.NotEmpty(t, found)
		assert.Equal(t, 13, found[0].Frame, "%v", found)
	}
}

// Dabs on a frame that cannot be read do not count, which is told once; with those that are
// left the clip is judged.
func TestLostDabsDoNotCount(t *testing.T) {
	r := &reel{w: 200, h: 120, left: standing, sigma: 0.01, broken: 3}
	s := r.shot(t, 4, nil)
	var lost [][]int
	s.Lost = func(frames []int, why error) {
		require.ErrorIs(t, why, errBroken)
		lost = append(lost, frames)
	}
	third := study.Dab{Frame: 3, X: 80, Y: 60, Radius: 10, Kind: study.Keep}
	s.Dabs = append([]study.Dab{third, third}, s.Dabs...)
	f := judgedFrames(t, s)
	assert.Equal(t, [][]int{{3}}, lost)
	assert.NotNil(t, f[2].Dropped)
	s.Dabs, lost = s.Dabs[:2], nil
	f = judgedFrames(t, s)
	assert.Equal(t, [][]int{{3}}, lost)
	assert.NoError(t, f[2].Err)
	assert.Nil(t, f[2].Dropped, "no dabs are left")
}
