package shot

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// searchingShot is a shot of two frames with a loose outline about the square, led to its edge,
// of some feather on either side. The pick keeps all, or the reds alone.
func searchingShot(t testing.TB, feather float64, all bool) *Shot {
	r := &reel{w: 200, h: 120, left: func(n int) int { return 49 + n }, sigma: 0.01}
	s := r.shot(t, 2, map[int][]mask.Point{1: rectangle(38, 18, 125, 102)})
	m := &s.Settings.Masks[0]
	m.Search = 12
	m.Keys[0].Inner, m.Keys[0].Outer = feather, feather
	s.Settings.Pick.Limits[selection.Hue].Off = all
	return s
}

// drawnOnFound is a shot of one frame of another, with its mask drawn where its edge was found
// there.
func drawnOnFound(t testing.TB, s *Shot, frame int) *Shot {
	t.Helper()
	r := render.New(s.Source, 1, render.DefaultCache)
	o, err := r.Outlines(t.Context(), render.Request{Study: s.Study, Settings: s.Settings, Frame: frame})
	require.NoError(t, err)
	require.False(t, o[0].Found.Lost)
	out := *s
	out.Study = s.Study.Clone()
	out.Settings = &out.Study.Mattes[0].Settings
	m := &out.Settings.Masks[0]
	m.Search, m.Rounded = 0, false
	m.Keys[0].Points = o[0].Found.Outline
	out.Frames = []int{frame}
	return &out
}

// The figures of a mask that is led to an edge are those of the same mask drawn there, but
// for what it cuts. With a feather they are the same. Without one the found edge is as soft as
// the picture, and the drawn one is hard: in a band of 3 px, the outermost of whose pixels are
// covered in part, that moves the mean by less than 0.02.
func TestFiguresAreAboutTheFoundEdge(t *testing.T) {
	for _, feather := range []float64{0, 2, 5} {
		for _, all := range []bool{false, true} {
			s := searchingShot(t, feather, all)
			loose := *s.Settings
			loose.Masks = []study.Mask{s.Settings.Masks[0]}
			loose.Masks[0].Search = 0
			asDrawn := *s
			asDrawn.Settings = &loose
			drawn := judgedFrames(t, &asDrawn)
			for n, f := range judgedFrames(t, s) {
				g := judgedFrames(t, drawnOnFound(t, s, n))[n]
				slack := 1e-9
				if feather == 0 {
					slack = 0.02
				}
				what := []any{"feather %g, all %t, frame %d", feather, all, n}
				assert.InDelta(t, *g.Band, *f.Band, slack, what...)
				assert.InDelta(t, *g.Leak(), *f.Leak(), slack, what...)
				assert.InDelta(t, *g.MaskedEdge, *f.MaskedEdge, slack, what...)
				assert.InDelta(t, g.EdgeWidth, f.EdgeWidth, slack, what...)
				assert.InDelta(t, *g.Core, *f.Core, slack, what...)
				assert.Greater(t, *f.Core, 0.98, what...)
				if !all {
					assert.Less(t, *drawn[n].Core, 0.9, "deep in the outline as drawn there is green")
					assert.Less(t, *drawn[n].Band, *f.Band-0.2, "and no red at its line")
				}
			}
		}
	}
}

// A mask's core is what the pick leaves of it, deep inside: the half of the square that lies
// in the mask, which is 84 x 84 px less a border of 200/96 px. What it takes in does not count.
func TestCoreOfAPickThatBitesIntoItsMask(t *testing.T) {
	r := &reel{w: 200, h: 120, left: standing}
	s := r.shot(t, 1, map[int][]mask.Point{1: rectangle(60, 40, 144, 80)})
	core := func() float64 { return *judgedFrames(t, s)[1].Core }
	// 50 of 84 px across are red; 2.08 px of border leave the pixels from 63 to 142.
	assert.InDelta(t, (110-63.)/(142-63), core(), 0.02)
	other := s.Study.AddMatte("all", selection.HSL)
	s.Study.Mattes[0].TakeIn(other.ID, study.TakeAway)
	s.Settings = &s.Study.Mattes[0].Settings
	assert.InDelta(t, (110-63.)/(142-63), core(), 0.02)
	s.Settings.Joins = nil
	s.Study.AddMask(&s.Study.Mattes[0], "out", study.Drop, mask.Key{Frame: 1, Points: rectangle(90, 0, 200, 120), Opacity: 1})
	s.Settings = &s.Study.Mattes[0].Settings
	assert.InDelta(t, 1, core(), 1e-6, "what is dropped is none of it")
	s.Settings.Masks[0].Keys[0].Points = rectangle(60, 40, 63, 80)
	assert.Nil(t, judgedFrames(t, s)[1].Core, "it is too narrow")
}

// What an outline cuts off is lost, wherever the edge is found inside of it. A loose one cuts
// nothing, one that runs through the square as much as lies on its line.
func TestCutIsAboutTheDrawnOutline(t *testing.T) {
	s := searchingShot(t, 0, true)
	for _, f := range judgedFrames(t, s) {
		assert.Zero(t, *f.Cut)
	}
	s.Settings.Masks[0].Keys[0].Points = rectangle(38, 18, 90, 102)
	for _, f := range judgedFrames(t, s) {
		assert.InDelta(t, squareSide, *f.Cut, 6)
	}
}

// An outline that the subject crosses is told of with the place, once where it does so on all
// frames and at its key; a loose one is not.
func TestOutlinesThatCutStandOut(t *testing.T) {
	r := &reel{w: 200, h: 120, left: standing, sigma: 0.01}
	about := 0 // the mask's id
	worst := func(right float64) (*Timeline, []Finding) {
		s := r.shot(t, 8, map[int][]mask.Point{3: rectangle(38, 18, right, 102)})
		m := &s.Settings.Masks[0]
		m.Search, m.Keys[0].Outer = 12, 0
		about = m.ID
		var line Timeline
		line.Update(s)
		require.NoError(t, s.Each(t.Context(), s.Frames, line.Add))
		return &line, line.Worst(10)
	}
	line, all := worst(90)
	require.NotEmpty(t, all)
	assert.Equal(t, 3, all[0].Frame, "at the key")
	assert.True(t, all[0].StandsOut())
	var x, y, length float64
	_, err := fmt.Sscanf(all[0].Sentence, `may be cut: the outline of mask "about" may cut the subject at %f, %f, over %f px`, &x, &y, &length)
	require.NoError(t, err, all[0].Sentence)
	assert.InDelta(t, 90, x, 7)
	assert.InDelta(t, squareTop+squareSide/2, y, 8)
	assert.InDelta(t, squareSide, length, 20)
	for _, f := range all[1:] {
		assert.False(t, f.StandsOut(), f.Sentence)
	}
	for _, j := range line.Judged() {
		require.Len(t, j.Crossings, 1)
		assert.Equal(t, about, j.Crossings[0].Mask)
	}
	line, all = worst(125)
	for _, f := range all {
		assert.False(t, f.StandsOut(), f.Sentence)
	}
	for _, j := range line.Judged() {
		assert.Empty(t, j.Crossings)
	}
}

// Each frame's edge is found once, also by a worker whose renderer has room for one frame.
func TestEdgesAreFoundOnce(t *testing.T) {
	for _, feather := range []float64{0, 3} {
		s := searchingShot(t, feather, false)
		other := s.Study.AddMatte("other", selection.HSL)
		s.Study.AddMask(other, "other", study.Keep, mask.Key{Frame: 1, Points: rectangle(60, 20, 130, 110), Opacity: 1})
		other.Masks[0].Search = 12
		s.Study.Mattes[0].TakeIn(other.ID, study.Add)
		s.Settings = &s.Study.Mattes[0].Settings
		s.Renderer = render.New(s.Source, 1, 200*120*bytesPerPixel)
		judgedFrames(t, s)
		assert.Equal(t, 4, s.Renderer.Runs()[render.FindEdge], "two masks on two frames")
	}
}
