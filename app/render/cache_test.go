package render

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
	"halocline/selection"
)

// Only what depends on a change runs again.
func TestChangesRunWhatDependsOnThem(t *testing.T) {
	for name, tt := range map[string]struct {
		change func(s *fixture)
		runs   []Stage
	}{
		"nothing":   {func(s *fixture) {}, nil},
		"note":      {func(s *fixture) { s.matte().Note = "other" }, nil},
		"soften":    {func(s *fixture) { s.matte().Edge.Soften.Fix(1.4) }, []Stage{Soften, Bound}},
		"grow":      {func(s *fixture) { s.matte().Edge.Grow.Fix(-1) }, []Stage{Grow, Soften, Bound}},
		"harden":    {func(s *fixture) { s.matte().Edge.Harden.Fix(0.6) }, []Stage{Harden, Times, Grow, Soften, Bound}},
		"align":     {func(s *fixture) { s.matte().Edge.Align.Fix(5) }, []Stage{Align, Harden, Times, Grow, Soften, Bound}},
		"despeckle": {func(s *fixture) { s.matte().Edge.Despeckle.Fix(13) }, []Stage{Despeckle, Align, Harden, Times, Grow, Soften, Bound}},
		"range":     {func(s *fixture) { s.matte().Pick.Limits[selection.Light].Fix(selection.Range{From: 20, To: 60}) }, []Stage{Weigh, Despeckle, Align, Harden, Times, Grow, Soften, Bound}},
		"vertex":    {func(s *fixture) { s.matte().Masks[0].Keys[0].Points[3].X += 2 }, []Stage{Mask, Despeckle, Align, Harden, Times, Grow, Soften, Bound}},
		"model":     {func(s *fixture) { s.matte().Pick.Model = selection.HSL }, []Stage{Convert, Weigh, Despeckle, Align, Harden, Times, Grow, Soften, Bound}},
		"exposure":  {func(s *fixture) { s.study.Base.Exposure.Fix(0.3) }, []Stage{Base, Convert, Weigh, Despeckle, Align, Harden, Times, Grow, Soften, Bound}},
		"noise": {func(s *fixture) { s.study.Clip.Noise[1] = 0.02 },
			[]Stage{SmoothNoise, Base, Convert, Weigh, Despeckle, Align, Harden, Times, Grow, Soften, Bound}},
		"plane": {func(s *fixture) {
			s.matte().Pick.Model, s.matte().Pick.Normal = selection.PlaneModel, [3]float64{0.6, 0, 0.8}
		},
			[]Stage{Convert, Weigh, Despeckle, Align, Harden, Times, Grow, Soften, Bound}},
	} {
		s := newFixture(t, 320, 180)
		s.addMasks()
		s.setEdge(everyStage)
		r := New(s, 0, DefaultCache)
		_, err := r.Matte(t.Context(), s.request())
		require.NoError(t, err)
		before := r.Runs()
		assert.Equal(t, map[Stage]int{
			Decode: 1, SmoothNoise: 1, Base: 1, Convert: 1, Weigh: 1, Mask: 2,
			Despeckle: 1, Align: 1, Harden: 1, Times: 1, Grow: 1, Soften: 1, Bound: 1,
		}, before)
		tt.change(s)
		_, err = r.Matte(t.Context(), s.request())
		require.NoError(t, err)
		var ran []Stage
		for _, stage := range []Stage{Decode, Crop, SmoothNoise, Shrink, Base, Convert, Weigh, Mask, Despeckle, Align, Harden, Times, Grow, Soften, Bound} {
			if r.Runs()[stage] != before[stage] {
				ran = append(ran, stage)
			}
		}
		assert.Equal(t, tt.runs, ran, name)
	}
}

// A change may not be answered with what stood in the cache for another.
func TestChangesAreAnsweredAnew(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.addMasks()
	kept := New(s, 2, DefaultCache)
	for _, change := range []func(){
		func() {},
		func() { s.matte().Edge.Soften.Fix(2) },
		func() { s.matte().Masks[1].Kind = 0 },
		func() { s.matte().Masks[1].Keys[0].Opacity = 0.5 },
		func() { s.matte().Masks[0].Keys[0].Points[1].Y -= 9 },
		func() { s.matte().Pick.Limits[selection.Sat].Inverted = true },
		func() { s.matte().Pick.Smooth = false },
		func() { s.matte().Pick.Model, s.matte().Pick.Normal = selection.PlaneModel, [3]float64{0.6, 0, 0.8} },
		func() { s.matte().Pick.Normal = [3]float64{0.6, 0.8, 0} },
		func() { s.matte().Pick.Limits[selection.Across].Value.From += 7 },
		func() { s.study.Base.Gain[2].Fix(0.8) },
		func() { s.matte().Masks[0].Off = true },
		func() { s.matte().Masks = nil },
		func() { s.matte().Edge.Despeckle.Fix(0) },
	} {
		change()
		got, err := kept.Matte(t.Context(), s.request())
		require.NoError(t, err)
		want, err := New(s, 1, 1).Matte(t.Context(), s.request())
		require.NoError(t, err)
		requireSame(t, want, got)
	}
}

// Mattes of one clip share what they have in common, and a mask that stands
// still is drawn once for all frames.
func TestMattesShare(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.addMasks()
	other := s.study.AddMatte("other", selection.LCh)
	r := New(s, 0, DefaultCache)
	for frame := range 3 {
		q := s.request()
		q.Frame = 1 + frame
		_, err := r.Matte(t.Context(), q)
		require.NoError(t, err)
		q.Settings = &other.Settings
		_, err = r.Matte(t.Context(), q)
		require.NoError(t, err)
	}
	runs := r.Runs()
	assert.Equal(t, 6, runs[Convert], "in each frame where the first has masks, then the rest for the other")
	assert.Equal(t, 6, runs[Weigh])
	assert.Equal(t, 1, runs[Mask])
	moving := s.matte().Masks[0].Keys[0]
	moving.Frame, moving.Points = 3, append([]mask.Point(nil), moving.Points...)
	moving.Points[0].X += 5
	s.matte().Masks[0].SetKey(moving)
	q := s.request()
	q.Frame = 2
	_, err := r.Mask(t.Context(), q)
	require.NoError(t, err)
	assert.Equal(t, 2, r.Runs()[Mask])
}

// What a slider has passed by goes first, not what all its positions need.
func TestASliderDoesNotPushOutWhatItNeeds(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.addMasks()
	const plane = 4 * 320 * 180
	r := New(s, 0, 23*plane) // the way to a matte takes 20 and a half
	for i := range 40 {
		s.matte().Edge.Soften.Fix(1 + float64(i)/100)
		_, err := r.Matte(t.Context(), s.request())
		require.NoError(t, err)
	}
	require.LessOrEqual(t, r.cache.bytes, 23*plane)
	s.matte().Pick.Limits[selection.Light].Fix(selection.Range{From: 20, To: 60})
	_, err := r.Matte(t.Context(), s.request())
	require.NoError(t, err)
	s.study.Base.Exposure.Fix(0.3)
	_, err = r.Matte(t.Context(), s.request())
	require.NoError(t, err)
	runs := r.Runs()
	for stage, n := range map[Stage]int{Decode: 1, SmoothNoise: 1, Base: 2, Convert: 2, Weigh: 3, Mask: 2, Despeckle: 3, Times: 3, Soften: 42, Bound: 42} {
		assert.Equal(t, n, runs[stage], stage)
	}
}

// Requests from several goroutines get what one after the other would.
func TestRequestsAtOnce(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.addMasks()
	s.setEdge(everyStage)
	want, err := New(s, 1, DefaultCache).Matte(t.Context(), s.request())
	require.NoError(t, err)
	r := New(s, 2, 8*4*320*180)
	var group sync.WaitGroup
	for g := range 6 {
		group.Go(func() {
			for i := range 5 {
				q := s.request()
				q.Frame = 1 + (g+i)%3 // all frames are one picture
				got, err := r.Matte(t.Context(), q)
				assert.NoError(t, err)
				assert.Equal(t, want.Pix, got.Pix)
				_, err = r.Reasons(t.Context(), q)
				assert.NoError(t, err)
			}
		})
	}
	group.Wait()
}

func TestCacheIsBounded(t *testing.T) {
	c := newCache(100)
	c.put("a", 1, 60)
	c.put("b", 2, 30)
	_, ok := c.get("a")
	require.True(t, ok)
	c.put("c", 3, 40) // b was not used for longest
	_, ok = c.get("b")
	assert.False(t, ok)
	assert.Equal(t, 100, c.bytes)
	c.put("d", 4, 500)
	_, ok = c.get("d")
	assert.True(t, ok, "the newest stays")
	assert.Equal(t, 500, c.bytes)
	assert.Equal(t, 1, c.order.Len())
}
