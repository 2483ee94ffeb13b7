package spare

import (
	"context"
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A slide is a clip of a spotted square that goes 3 pixels to the right with each frame.
type slide struct{ spots, sand []float32 }

const slideW, slideH, slideFrames = 200, 100, 13

func newSlide() *slide {
	rng := rand.New(rand.NewPCG(3, 4))
	s := &slide{}
	for range slideW * slideH {
		s.spots, s.sand = append(s.spots, rng.Float32()), append(s.sand, rng.Float32())
	}
	return s
}

func leftOf(frame int) int { return 20 + 3*frame }

func (s *slide) Frame(_ context.Context, n int) (*colour.Image, error) {
	m := colour.NewImage(slideW, slideH)
	left := leftOf(n)
	for y := range slideH {
		for x := range slideW {
			r, g, b := 0.65+0.1*s.sand[y/3*slideW+x/3], float32(0.6), float32(0.5)
			if x >= left && x < left+40 && y >= 30 && y < 70 {
				v := s.spots[y/3*slideW+(x-left)/3]
				r, g, b = 0.2+0.35*v, 0.15+0.3*v, 0.1+0.2*v
			}
			m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = r, g, b
		}
	}
	return m, nil
}

func box(x0, y0, x1, y1 float64) []mask.Point {
	return []mask.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// study is one of the slide, whose mask follows the square between keys on its line.
func (s *slide) study(keys ...int) (*study.Study, *study.Matte, *study.Mask) {
	return s.loose(0, keys...)
}

// loose is study with keys so many pixels outside of the square.
func (s *slide) loose(by float64, keys ...int) (*study.Study, *study.Matte, *study.Mask) {
	st := study.New(study.Clip{Path: "slide", First: 1, Count: slideFrames, Rate: [2]int{25, 1}})
	m := st.AddMatte("square", selection.HSL)
	var to *study.Mask
	for _, n := range keys {
		x := float64(leftOf(n))
		k := study.MaskKey{Frame: n, Points: box(x-by, 30-by, x+40+by, 70+by), Opacity: 1, Way: mask.Follow}
		if to == nil {
			to = st.AddMask(m, "square", study.Keep, k)
		} else {
			to.SetKey(k)
		}
	}
	return st, m, to
}

// find looks for the spare keys of a mask, and returns their frames.
func (s *slide) find(t *testing.T, st *study.Study, m *study.Matte, to *study.Mask) (frames []int) {
	t.Helper()
	var told [][2]int
	all, err := Find(t.Context(), render.New(s, 2, render.DefaultCache), st, m.ID, to.ID, func(done, of int) { told = append(told, [2]int{done, of}) })
	require.NoError(t, err)
	n := len(Candidates(&to.Track))
	require.Equal(t, [2]int{n, n}, told[len(told)-1])
	for _, k := range all {
		assert.LessOrEqual(t, k.Mean, 2.0)
		assert.LessOrEqual(t, k.Worst, 4.0)
		frames = append(frames, k.Frame)
	}
	return frames
}

// Keys on what is followed anyway can go, whether the edge is searched for or not; one that mends
// what would be lost stays.
func TestKeysThatCanGo(t *testing.T) {
	for _, search := range []float64{0, 6} {
		s := newSlide()
		st, m, to := s.loose(search/2, 1, 4, 7, 10, 13)
		to.Search = search
		before := st.Clone()
		require.Equal(t, []int{4, 7, 10}, s.find(t, st, m, to), "search %v", search)
		require.Equal(t, before, st, "it is only read")
	}
	s := newSlide()
	st, m, to := s.study(1, 4, 7, 10, 13)
	to.Move(10, mask.Here, 9, 0)
	require.NotContains(t, s.find(t, st, m, to), 10)
	require.Contains(t, s.find(t, st, m, to), 4)
}

// Without all keys that can go, the outline is still where it was.
func TestAllKeysThatCanGoMayGoAtOnce(t *testing.T) {
	s := newSlide()
	st, m, to := s.study(1, 3, 5, 7, 9, 11, 13)
	without := st.Clone()
	for _, n := range s.find(t, st, m, to) {
		without.Matte(m.ID).Mask(to.ID).RemoveKey(n)
	}
	j := job{renderer: render.New(s, 2, render.DefaultCache), size: image.Pt(slideW, slideH), matteID: m.ID, maskID: to.ID, now: st}
	for n := 2; n < 13; n++ {
		mean, worst, ok, err := j.moved(t.Context(), without, n)
		require.NoError(t, err)
		require.True(t, ok)
		assert.LessOrEqual(t, mean, 2.0, "frame %d", n)
		assert.LessOrEqual(t, worst, 4.0, "frame %d", n)
	}
}

// A key that feathers or opacity turn at stays, and so do the keys of ways that are drawn.
func TestKeysThatStay(t *testing.T) {
	s := newSlide()
	st, m, to := s.study(1, 5, 9, 13)
	to.Keys[1].Outer = 1
	to.Keys[2].Opacity = 0.9
	require.Empty(t, s.find(t, st, m, to))
	to.Keys[1].Outer, to.Keys[2].Opacity = 0, 1
	to.Keys[1].Way = mask.Straight
	require.Empty(t, Candidates(&to.Track))
	to.Keys[1].Way = mask.Follow
	to.Off = true
	require.Empty(t, s.find(t, st, m, to), "nothing is known of a mask that is off")
}

func TestFindIsRefusedAndEnded(t *testing.T) {
	s := newSlide()
	st, m, to := s.study(1, 7, 13)
	r := render.New(s, 1, render.DefaultCache)
	_, err := Find(t.Context(), r, st, m.ID, 99, func(int, int) {})
	require.ErrorContains(t, err, "no mask with id 99")
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = Find(ctx, r, st, m.ID, to.ID, func(int, int) {})
	require.ErrorIs(t, err, context.Canceled)
}

// By hand: a square moved by 3 pixels has half of its outline 3 pixels away, but for ends that
// lie over the other's, and the other half 0.
func TestDistancesBetweenOutlines(t *testing.T) {
	size := image.Pt(slideW, slideH)
	a, b := mask.Shape{Points: box(40, 20, 100, 80)}, mask.Shape{Points: box(43, 20, 103, 80)}
	mean, worst, err := apart(t.Context(), a, a, size)
	require.NoError(t, err)
	assert.InDelta(t, 0, mean, 0.05)
	assert.InDelta(t, 0, worst, 0.05)
	mean, worst, err = apart(t.Context(), a, b, size)
	require.NoError(t, err)
	assert.InDelta(t, (60*3+60*3+2*4.5)/240, mean, 0.1)
	assert.InDelta(t, 3, worst, 0.1)
	mean, worst, err = apart(t.Context(), a, mask.Shape{Points: box(150, 5, 190, 15)}, size)
	require.NoError(t, err)
	assert.InDelta(t, farthest, mean, 1e-3, "as far as can be")
	assert.InDelta(t, farthest, worst, 1e-3)
	bump := mask.Shape{Points: []mask.Point{{X: 40, Y: 20}, {X: 66, Y: 20}, {X: 70, Y: 8}, {X: 74, Y: 20}, {X: 100, Y: 20}, {X: 100, Y: 80}, {X: 40, Y: 80}}}
	mean, worst, err = apart(t.Context(), a, bump, size)
	require.NoError(t, err)
	assert.Less(t, mean, 1.0)
	assert.Greater(t, worst, 3.0, "a part that is off shows, however small the mean")
	outside := mask.Shape{Points: box(-90, -90, -50, -50)}
	mean, _, err = apart(t.Context(), outside, outside, size)
	require.NoError(t, err)
	assert.Zero(t, mean)
}
