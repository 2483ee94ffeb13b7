package render

import (
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/selection"
)

// A part of a frame has the bits that it has in the whole.
func TestRegionsAreTheWholeFrames(t *testing.T) {
	const w, h = 960, 540
	rng := rand.New(rand.NewPCG(5, 1))
	for i, e := range []selection.Edge{
		{Despeckle: 12, About: 0.5},
		{Despeckle: 3, Align: 4, Harden: 0.2, About: 0.5, Grow: 2.5, Soften: 1},
		{Despeckle: 2, About: 0.5, Soften: 6},
		{Align: 11.5, About: 0.5},
		{Grow: -4, About: 0.4},
	} {
		s := newScene(t, w, h)
		s.setEdge(e)
		if i%2 == 1 {
			s.addMasks()
		}
		whole, part := New(s, 2, DefaultCache), New(s, 2, DefaultCache)
		matte, err := whole.Matte(t.Context(), s.request())
		require.NoError(t, err)
		reasons, err := whole.Reasons(t.Context(), s.request())
		require.NoError(t, err)
		shown, err := whole.Shown(t.Context(), s.request())
		require.NoError(t, err)
		cut := 0
		regions := 8
		if testing.Short() {
			regions = 1
		}
		for range regions {
			q := s.request()
			q.Region.Min = image.Pt(rng.IntN(w), rng.IntN(h))
			q.Region.Max = q.Region.Min.Add(image.Pt(1+rng.IntN(200), 1+rng.IntN(150)))
			p, err := part.part(t.Context(), q)
			require.NoError(t, err)
			if !p.isWhole() {
				cut++
			}
			want := q.Region.Intersect(image.Rect(0, 0, w, h))
			got, err := part.Matte(t.Context(), q)
			require.NoError(t, err)
			requireSame(t, partOf(matte, want), got, e, q.Region)
			picture, err := part.Shown(t.Context(), q)
			require.NoError(t, err)
			for c, p := range planesOf(picture) {
				requireSame(t, partOf(planesOf(shown)[c], want), p, e, q.Region)
			}
			why, err := part.Reasons(t.Context(), q)
			require.NoError(t, err)
			for k, r := range why {
				x, y := want.Min.X+k%want.Dx(), want.Min.Y+k/want.Dx()
				require.Equal(t, reasons[y*w+x], r, "%v at (%d,%d)", q.Region, x, y)
			}
		}
		if regions == 8 {
			assert.Greater(t, cut, 4, "%v: some parts are not taken from the whole", e)
		}
	}
}

// The region that is worked on stays where it is while a slider moves a little
// and while the view is panned a little.
func TestRegionsAreQuantised(t *testing.T) {
	s := newScene(t, 960, 540)
	r := New(s, 0, DefaultCache)
	work := map[image.Rectangle]bool{}
	for i := range 20 {
		s.setEdge(selection.Edge{Despeckle: 12, About: 0.5, Soften: 0.1 * float64(i)})
		q := s.request()
		q.Region = image.Rect(520+i, 300, 620+i, 400)
		p, err := r.part(t.Context(), q)
		require.NoError(t, err)
		work[p.work] = true
	}
	assert.Len(t, work, 1)
	q := s.request()
	q.Region = image.Rect(-5, -5, 2000, 2000)
	p, err := r.part(t.Context(), q)
	require.NoError(t, err)
	assert.Equal(t, image.Rect(0, 0, 960, 540), p.work)
	assert.Equal(t, p.want, p.work)
	q.Region = image.Rect(33, 33, 37, 900)
	q.Factor = 4
	p, err = r.part(t.Context(), q)
	require.NoError(t, err)
	assert.Equal(t, image.Rect(8, 8, 10, 135), p.want, "whole pixels of the proxy")
}
