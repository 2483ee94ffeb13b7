package watch

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// found are all findings, worked out one part after the other.
func found(t *testing.T, q Inquiry) Findings {
	t.Helper()
	f := Findings{About: q.Study, MatteID: q.MatteID, Frame: q.Frame, Thumbs: q.Before.Thumbs}
	m := q.Study.Matte(q.MatteID)
	for _, part := range []func(context.Context, Inquiry, *study.Matte, *Findings) error{
		FindSource, FindField, FindMatte, FindThumbs, FindSeparation, FindWorst, FindCrossings,
	} {
		require.NoError(t, part(t.Context(), q, m, &f))
	}
	return f
}

func TestAllIsFoundAboutAMatte(t *testing.T) {
	s, r, _ := newScene(t, 3)
	f := found(t, inquiryOf(s, r, 1))
	w, h := f.Source.Size()
	assert.Equal(t, [2]int{160, 96}, [2]int{w, h})
	assert.NotNil(t, f.Picked)
	assert.NotNil(t, f.Density)
	disc := 3.1416 * 24 * 24 / (160 * 96)
	assert.InDelta(t, disc, f.Figures.Area, 0.2*disc, "about the disc's area")
	assert.InDelta(t, f.Figures.Area, f.Thumbs[f.MatteID].Area, 0.01)
	assert.Len(t, f.Dabs, 4)
	for i, d := range s.Mattes[0].Dabs {
		assert.Equal(t, d.Kind == study.Keep, f.Dabs[i].Keep, "in the matte's order")
		assert.NotEmpty(t, f.Dabs[i].Colours)
	}
	require.NotNil(t, f.Separation)
	assert.Greater(t, f.Separation.Pick.Set.Value, 0.99, "the disc is told from the ground")
	for _, p := range f.Worst {
		assert.Positive(t, p.Badness)
	}
}

// An outline that cuts through the disc, whose chord is 2 sqrt(24^2 - 10^2) px long, is told
// with the place; a loose one about it, and one that searches for no edge, is not. The edge is
// found once.
func TestOutlinesThatCutAreFound(t *testing.T) {
	crossings := func(right, search float64) []render.Crossing {
		s, r, _ := newScene(t, 1)
		points := []study.Point{{X: 46, Y: 14}, {X: right, Y: 14}, {X: right, Y: 82}, {X: 46, Y: 82}}
		k := s.AddMask(&s.Mattes[0], "about", study.Keep, study.MaskKey{Points: points, Opacity: 1})
		k.Search = search
		f := found(t, inquiryOf(s, r, 0))
		if search > 0 {
			assert.Equal(t, 1, r.Runs()[render.FindEdge])
		}
		return f.Crossings
	}
	all := crossings(90, 8)
	require.Len(t, all, 1)
	assert.InDelta(t, 90, all[0].X, 7)
	assert.InDelta(t, 48, all[0].Y, 7)
	assert.InDelta(t, 43.6, all[0].Length, 14)
	assert.Empty(t, crossings(114, 8))
	assert.Empty(t, crossings(90, 0))
}

func TestWithoutAMatteTheFrameAloneIsFound(t *testing.T) {
	s, r, _ := newScene(t, 1)
	q := inquiryOf(s, r, 0)
	q.MatteID = 4711
	f := found(t, q)
	assert.NotNil(t, f.Source)
	assert.NotNil(t, f.Picked)
	assert.Nil(t, f.Density)
	assert.Nil(t, f.Matte)
	assert.Nil(t, f.Separation)
	assert.Nil(t, f.Worst)
	assert.Contains(t, f.Thumbs, s.Mattes[0].ID, "those of the other mattes are shown")
	seam, err := FindSeam(t.Context(), q, nil, &f)
	assert.NoError(t, err)
	assert.Nil(t, seam)
}

func TestDabsOfOneKindAreNotTold(t *testing.T) {
	s, r, _ := newScene(t, 1)
	s.Mattes[0].Dabs = s.Mattes[0].Dabs[:2]
	f := found(t, inquiryOf(s, r, 0))
	assert.Nil(t, f.Separation)
	assert.NotEmpty(t, f.lacking, "it says why")
	assert.Len(t, f.Dabs, 2)
}

// The area under a matte's small picture is that of its figures once it was chosen, also
// where the picture still stands.
func TestAreasAreThoseOfTheFigures(t *testing.T) {
	s, r, _ := newScene(t, 2)
	other := s.AddMatte("other", selection.LCh)
	a := s.Mattes[0].ID
	q := inquiryOf(s, r, 0)
	q.MatteID = other.ID
	before := found(t, q)
	coarse := before.Thumbs[a]
	coarse.Area += 0.002 // as of a small picture
	before.Thumbs[a] = coarse
	q.MatteID, q.Before = a, before
	f := found(t, q)
	assert.Same(t, before.Thumbs[a].Small, f.Thumbs[a].Small, "it still stands")
	assert.Equal(t, f.Figures.Area, f.Thumbs[a].Area)
	q.MatteID, q.Before = other.ID, f
	again := found(t, q)
	assert.Equal(t, f.Figures.Area, again.Thumbs[a].Area, "it stays")
	assert.Equal(t, again.Figures.Area, again.Thumbs[other.ID].Area)
}

// A small picture that still stands is not rendered again.
func TestSmallPicturesAreKept(t *testing.T) {
	s, r, _ := newScene(t, 2)
	s.AddMatte("other", selection.LCh)
	first := found(t, inquiryOf(s, r, 0))
	require.Len(t, first.Thumbs, 2)
	changed := s.Clone()
	changed.Mattes[0].Edge.Grow.Fix(4)
	q := inquiryOf(changed, r, 0)
	q.Before = first
	second := found(t, q)
	a, b := s.Mattes[0].ID, s.Mattes[1].ID
	assert.NotSame(t, first.Thumbs[a].Small, second.Thumbs[a].Small)
	assert.Greater(t, second.Thumbs[a].Area, first.Thumbs[a].Area, "it has grown")
	assert.Same(t, first.Thumbs[b].Small, second.Thumbs[b].Small)
	small := first.Thumbs[b].Small
	assert.LessOrEqual(t, small.Rect.Dx(), 2*thumbWide)
	assert.Equal(t, []uint8{255, 255, 255, 255}, small.Pix[:4], "it picks everything")
}

// A true matte of another size is none.
func TestATruthIsOfTheMattesSize(t *testing.T) {
	s, r, _ := newScene(t, 1)
	q := inquiryOf(s, r, 0)
	truth := colour.NewPlane(160, 96)
	q.Truth = &truth
	f := found(t, q)
	require.NotNil(t, f.Truth)
	assert.Zero(t, f.Truth.Overlap, "nothing is true")
	assert.InDelta(t, 1, f.Truth.Extra, 1e-9)
	other := colour.NewPlane(80, 48)
	q.Truth = &other
	assert.Nil(t, found(t, q).Truth)
}

func TestAgainstTruth(t *testing.T) {
	plane := func(pix ...float32) colour.Plane { return colour.Plane{W: 4, H: 1, Pix: pix} }
	matte, truth, none := plane(1, 0.5, 0, 1), plane(1, 1, 0, 0), plane(0, 0, 0, 0)
	for _, c := range []struct {
		matte, truth colour.Plane
		want         comparison
	}{
		{matte, truth, comparison{Overlap: 1.5 / 3, Missed: 0.25, Extra: 0.5}},
		{truth, truth, comparison{Overlap: 1}},
		{none, none, comparison{Overlap: 1}},
		{none, truth, comparison{Missed: 1}},
		{truth, none, comparison{Extra: 1}}, // at most all of it
	} {
		got, err := againstTruth(t.Context(), c.matte, c.truth)
		require.NoError(t, err)
		assert.InDelta(t, c.want.Overlap, got.Overlap, 1e-9)
		assert.InDelta(t, c.want.Missed, got.Missed, 1e-9)
		assert.InDelta(t, c.want.Extra, got.Extra, 1e-9)
	}
	_, err := againstTruth(t.Context(), matte, colour.NewPlane(2, 2))
	assert.EqualError(t, err, "check: the matte is 4 x 1, its truth 2 x 2")
}

// An assessor tells what it found once the hand rests, and nothing of what is
// overtaken.
func TestAnAssessorTellsOfTheNewest(t *testing.T) {
	s, r, src := newScene(t, 9)
	told := make(chan Findings, 9)
	a := NewAssessor(func(f Findings) { told <- f })
	defer a.Jobs.Stop()
	for frame := range 6 {
		a.Jobs.Ask(inquiryOf(s, r, frame))
	}
	f := <-told
	assert.Equal(t, 5, f.Frame)
	assert.Nil(t, f.Seam, "nothing grades")
	src.gone.Store(7)
	a.Jobs.Ask(inquiryOf(s, r, 7))
	select {
	case f := <-told:
		assert.Fail(t, "told of a frame that cannot be read", "%d", f.Frame)
	case <-time.After(2 * assessDelay):
	}
	graded := s.Clone()
	graded.Mattes[0].Trial.Slope[0].Fix(1.5)
	a.Jobs.Ask(inquiryOf(graded, r, 2))
	assert.Nil(t, (<-told).Seam, "the seam comes after all else")
	assert.NotNil(t, (<-told).Seam)
}
