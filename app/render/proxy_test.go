package render

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/selection"
)

// plainShrink is the mean of n x n pixels as it is written down.
func plainShrink(p colour.Plane, n int) colour.Plane {
	out := colour.NewPlane((p.W+n-1)/n, (p.H+n-1)/n)
	for y := range out.H {
		for x := range out.W {
			sum, count := 0., 0.
			for v := y * n; v < min((y+1)*n, p.H); v++ {
				for u := x * n; u < min((x+1)*n, p.W); u++ {
					sum += float64(p.At(u, v))
					count++
				}
			}
			out.Row(y)[x] = float32(sum / count)
		}
	}
	return out
}

func TestShrinkIsTheMean(t *testing.T) {
	src := sceneFrame(t, 320, 180).Image
	for n, within := range map[int]float64{2: 1e-6, 3: 1e-6, 4: 1e-6, 7: 2e-6, 1000: 3e-4} {
		var one, many colour.Image
		require.NoError(t, shrinkImage(t.Context(), &one, src, n, nil, 1))
		require.NoError(t, shrinkImage(t.Context(), &many, src, n, nil, 7))
		for c, p := range planesOf(src) {
			want := plainShrink(p, n)
			requireSame(t, planesOf(&one)[c], planesOf(&many)[c])
			for i, v := range want.Pix {
				require.InDelta(t, v, planesOf(&one)[c].Pix[i], within, "factor %d, sample %d", n, i)
			}
		}
	}
}

// apart returns the mean difference over the pixels that are soft in either,
// and how many these are.
func apart(a, b colour.Plane) (mean float64, n int) {
	soft := func(v float32) bool { return v > 0.02 && v < 0.98 }
	for i, v := range a.Pix {
		if soft(v) || soft(b.Pix[i]) {
			mean += math.Abs(float64(v - b.Pix[i]))
			n++
		}
	}
	return mean / float64(max(n, 1)), n
}

func TestProxyIsCloseToTheWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("left out by -short: it renders a whole frame fifteen times")
	}
	s := newFixture(t, 1280, 720)
	r := New(s, 0, DefaultCache)
	for name, change := range map[string]func(){
		"default edge":  func() {},
		"soften":        func() { s.matte().Edge.Soften.Fix(1.2) },
		"soften, masks": func() { s.addMasks(); s.matte().Edge.Soften.Fix(1.2) },
	} {
		s.matte().Masks, s.matte().Edge.Soften = nil, s.matte().Edge.Grow
		change()
		full, err := r.Matte(t.Context(), s.request())
		require.NoError(t, err)
		for _, n := range []int{2, 4} {
			q := s.request()
			q.Factor = n
			proxy, err := r.Matte(t.Context(), q)
			require.NoError(t, err)
			mean, count := apart(plainShrink(full, n), proxy)
			t.Logf("%s, factor %d: mean difference %.4f over %d pixels", name, n, mean, count)
			assert.LessOrEqual(t, mean, 0.02, "%s, factor %d", name, n)
			assert.Greater(t, count, 100)
			q.Draft = true
			draft, err := r.Matte(t.Context(), q)
			require.NoError(t, err)
			mean, _ = apart(plainShrink(full, n), draft)
			t.Logf("%s, factor %d: draft %.4f", name, n, mean)
			assert.LessOrEqual(t, mean, 0.12, "%s, factor %d, draft", name, n)
		}
	}
}

// A draft's pick reads the proxy, so that it converts a fraction of the pixels.
func TestDraft(t *testing.T) {
	s := newFixture(t, 320, 180)
	r := New(s, 0, DefaultCache)
	q := s.request()
	whole, err := r.Matte(t.Context(), q)
	require.NoError(t, err)
	q.Draft = true
	draft, err := r.Matte(t.Context(), q)
	require.NoError(t, err)
	requireSame(t, whole, draft, "at factor 1 there is no difference")
	require.Equal(t, 1, r.Runs()[Convert])
	q.Factor = 2
	draft, err = r.Pick(t.Context(), q)
	require.NoError(t, err)
	require.Equal(t, 2, r.Runs()[Convert])
	read, err := r.Picked(t.Context(), q)
	require.NoError(t, err)
	var w selection.Weigher
	w.Set(s.matte().Pick.At(1))
	var want colour.Plane
	var codes selection.Codes
	require.NoError(t, codes.Convert(t.Context(), read, selection.Pick{Model: s.matte().Pick.Model}, 1))
	require.NoError(t, w.Matte(t.Context(), &want, &codes, 1))
	requireSame(t, want, draft)
}

// A hasty proxy's pick reads the picture as it came, what align reads stays smoothed,
// and neither is mistaken for the other.
func TestHasty(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.addMasks()
	s.setEdge(everyStage)
	r := New(s, 0, DefaultCache)
	rough := s.matte().Settings
	rough.Pick.Smooth = false
	for _, factor := range []int{1, 2} {
		for _, draft := range []bool{false, true} {
			q := s.request()
			q.Factor, q.Draft = factor, draft
			smooth, err := r.Matte(t.Context(), q)
			require.NoError(t, err)
			q.Hasty = true
			hasty, err := r.Matte(t.Context(), q)
			require.NoError(t, err)
			q.Hasty = false
			again, err := r.Matte(t.Context(), q)
			require.NoError(t, err)
			requireSame(t, smooth, again, "factor %d, draft %t", factor, draft)
			want := smooth
			if factor > 1 {
				assert.NotEqual(t, smooth.Pix, hasty.Pix)
				q.Settings = &rough
				want, err = New(s, 1, 1).Matte(t.Context(), q)
				require.NoError(t, err)
			}
			requireSame(t, want, hasty, "factor %d, draft %t", factor, draft)
		}
	}
}

// A hasty proxy's pick does not smooth noise at all.
func TestHastyDoesNotSmooth(t *testing.T) {
	s := newFixture(t, 320, 180)
	r := New(s, 0, DefaultCache)
	q := s.request()
	q.Factor, q.Draft, q.Hasty = 2, true, true
	_, err := r.Pick(t.Context(), q)
	require.NoError(t, err)
	assert.Zero(t, r.Runs()[SmoothNoise])
}

// A Gaussian read at whole pixels has the width that is asked for.
func TestSpread(t *testing.T) {
	for _, sigma := range []float64{0.05, 0.15, 0.3, 0.6, 0.9} {
		assert.InDelta(t, sigma, sampledWidth(spread(sigma)), 1e-6)
	}
	assert.Zero(t, spread(0))
	assert.Equal(t, 1.7, spread(1.7))
}

// A part of a proxy has the bits of the whole proxy, too.
func TestRegionsOfProxies(t *testing.T) {
	s := newFixture(t, 1280, 720)
	s.addMasks()
	s.setEdge(selection.Edge{Despeckle: 12, Align: 4, About: 0.5, Grow: 1, Soften: 2})
	for _, n := range []int{2, 3} {
		q := s.request()
		q.Factor = n
		whole, err := New(s, 2, DefaultCache).Matte(t.Context(), q)
		require.NoError(t, err)
		assert.Equal(t, [2]int{(1280 + n - 1) / n, 720 / n}, [2]int{whole.W, whole.H})
		r := New(s, 2, DefaultCache)
		for _, x := range []int{0, 301, 1181} {
			q.Region = image.Rect(x, 500, x+99, 620)
			got, err := r.Matte(t.Context(), q)
			require.NoError(t, err)
			p, err := r.part(t.Context(), q)
			require.NoError(t, err)
			require.False(t, p.isWhole())
			requireSame(t, partOf(whole, p.want), got, n, x)
		}
	}
}

// Everything that is rendered of one request has one size, and reasons agree
// with the matte, on a proxy too.
func TestViewsOfProxies(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.addMasks()
	r := New(s, 2, DefaultCache)
	for _, draft := range []bool{false, true} {
		q := s.request()
		q.Factor, q.Draft, q.Region = 3, draft, image.Rect(100, 40, 220, 140)
		matte, err := r.Matte(t.Context(), q)
		require.NoError(t, err)
		masks, err := r.Mask(t.Context(), q)
		require.NoError(t, err)
		reasons, err := r.Reasons(t.Context(), q)
		require.NoError(t, err)
		require.Len(t, reasons, len(matte.Pix))
		for i, why := range reasons {
			require.Equal(t, matte.Pix[i] >= 0.5, why == selection.In)
			require.Equal(t, matte.Pix[i] < 0.5 && masks.Pix[i] < 0.5, why == selection.ByMask)
		}
		shown, err := r.Shown(t.Context(), q)
		require.NoError(t, err)
		assert.True(t, shown.R.SameSize(matte) && masks.SameSize(matte))
		assert.Equal(t, [2]int{41, 34}, [2]int{matte.W, matte.H}, "(100,40)-(220,140) grown to whole pixels")
	}
}
