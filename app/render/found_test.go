package render

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// searching is a fixture whose masks search for edges: a keep mask about the swimmer with or
// without feather, and a drop mask.
func searching(t *testing.T, w, h int, feather float64) *fixture {
	s := newFixture(t, w, h)
	s.addMasks()
	m := s.matte()
	for i := range m.Masks {
		m.Masks[i].Search = 12
		m.Masks[i].Keys[0].Inner, m.Masks[i].Keys[0].Outer = feather, feather
	}
	m.MaskDabs = []study.Dab{{ID: 900, Frame: 1, X: float64(w) / 2, Y: float64(h) / 2, Radius: 6}, {ID: 901, Frame: 2, X: 3, Y: 3, Radius: 2}}
	return s
}

// What is found is the same in a part of the frame, on a warm cache and a cold one, for any
// number of workers.
func TestFoundEdgesAreTheWholeFrames(t *testing.T) {
	const w, h = 480, 270
	for _, feather := range []float64{0, 3} {
		s := searching(t, w, h, feather)
		want, err := New(s, 1, DefaultCache).Matte(t.Context(), s.request())
		require.NoError(t, err)
		for _, workers := range []int{2, 7} {
			got, err := New(s, workers, DefaultCache).Matte(t.Context(), s.request())
			require.NoError(t, err)
			requireSame(t, want, got, "workers", workers)
		}
		q := s.request()
		for _, q.Region = range []image.Rectangle{image.Rect(200, 100, 260, 160), image.Rect(0, 0, 40, 30), image.Rect(440, 200, 480, 270)} {
			got, err := New(s, 2, DefaultCache).Matte(t.Context(), q)
			require.NoError(t, err)
			requireSame(t, partOf(want, q.Region), got, q.Region)
		}
	}
}

// A mask that finds its edge keeps other pixels than the one that is drawn, and its proxy is
// the mean of what it keeps.
func TestFoundEdgesAndProxies(t *testing.T) {
	s := searching(t, 480, 270, 0)
	r := New(s, 2, DefaultCache)
	found, err := r.Mask(t.Context(), s.request())
	require.NoError(t, err)
	m := s.matte()
	plain := *m
	plain.Masks = append([]study.Mask(nil), m.Masks[:1]...) // the keep mask alone: drop masks multiply
	q := s.request()
	q.Settings, q.Factor = &plain.Settings, 2
	half, err := r.Mask(t.Context(), q)
	require.NoError(t, err)
	q.Factor = 1
	one, err := r.Mask(t.Context(), q)
	require.NoError(t, err)
	for y := range half.H {
		for x := range half.W {
			mean := (one.At(2*x, 2*y) + one.At(2*x+1, 2*y) + one.At(2*x, min(2*y+1, one.H-1)) + one.At(2*x+1, min(2*y+1, one.H-1))) / 4
			require.InDelta(t, mean, half.At(x, y), 1e-5, "%d %d", x, y)
		}
	}
	for i := range m.Masks {
		m.Masks[i].Search = 0
	}
	drawn, err := r.Mask(t.Context(), s.request())
	require.NoError(t, err)
	differ := 0
	for i, v := range drawn.Pix {
		if v != found.Pix[i] {
			differ++
		}
	}
	assert.Greater(t, differ, 1000)
}

// Requests in a hurry take what was found, and find nothing themselves.
func TestNoSearchFindsNothing(t *testing.T) {
	s := searching(t, 480, 270, 0)
	r := New(s, 2, DefaultCache)
	q := s.request()
	q.NoSearch = true
	fast, err := r.Mask(t.Context(), q)
	require.NoError(t, err)
	assert.Zero(t, r.Runs()[FindEdge])
	m := s.matte()
	var want colour.Plane
	require.NoError(t, mask.Compose(t.Context(), &want, m.At(1).Masks, mask.Whole(480, 270), 1))
	requireSame(t, want, fast, "as drawn")

	slow, err := r.Mask(t.Context(), s.request())
	require.NoError(t, err)
	assert.Equal(t, 2, r.Runs()[FindEdge])
	fast, err = r.Mask(t.Context(), q)
	require.NoError(t, err)
	requireSame(t, slow, fast, "what was found before")
	assert.Equal(t, 2, r.Runs()[FindEdge])

	outlines, err := r.Outlines(t.Context(), q)
	require.NoError(t, err)
	require.Len(t, outlines, 2)
	assert.NotEmpty(t, outlines[0].Found.Outline)
	assert.Equal(t, 2, r.Runs()[FindEdge])
}

// What an edge is found in counts: base, noise and the dabs of the frame.
func TestEdgesAreFoundAnewWhereTheirPictureChanges(t *testing.T) {
	s := searching(t, 320, 180, 0)
	m := s.matte()
	m.Masks = m.Masks[:1]
	r := New(s, 2, DefaultCache)
	find := func() int {
		_, err := r.Mask(t.Context(), s.request())
		require.NoError(t, err)
		return r.Runs()[FindEdge]
	}
	assert.Equal(t, 1, find())
	m.Pick.Smooth = !m.Pick.Smooth
	m.Edge.Soften.Fix(3)
	assert.Equal(t, 1, find(), "neither the pick nor the edge treatment")
	m.MaskDabs[1].X++
	assert.Equal(t, 1, find(), "a dab of another frame")
	m.MaskDabs[0].X++
	assert.Equal(t, 2, find())
	s.study.Base.Exposure.Fix(0.4)
	assert.Equal(t, 3, find())
	m.Masks[0].Keys[0].Tight = true
	assert.Equal(t, 4, find())
}
