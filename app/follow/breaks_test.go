package follow

import (
	"context"
	"errors"
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/motion"
	"halocline/colour"
	"halocline/mask"
)

func TestBreaksInWords(t *testing.T) {
	assert.Empty(t, Breaks{}.Sentences())
	assert.False(t, Breaks{}.Any())
	var b Breaks
	b.Add(Breaks{Cuts: []int{9}, Missing: []int{4}})
	b.Add(Breaks{Cuts: []int{2, 9}, Repeats: []int{7}})
	assert.Equal(t, Breaks{Cuts: []int{2, 9}, Missing: []int{4}, Repeats: []int{7}}, b)
	assert.True(t, b.Any())
	assert.Equal(t, []string{
		"the picture changes at once at frame 2: the stretch cannot follow across it, set keys at 1 and 2",
		"the picture changes at once at frame 9: the stretch cannot follow across it, set keys at 8 and 9",
		"frame 4 is missing: followed across it",
		"frame 7 is the one before it once more: followed across it",
	}, b.Sentences())
	b = Breaks{Missing: []int{4, 5, 6}, Repeats: []int{8, 10}}
	assert.Equal(t, []string{
		"frame 4 and 2 more are missing: followed across them",
		"frame 8 and 1 more are those before them once more: followed across them",
	}, b.Sentences())
}

// What is added to never shares memory with what it was.
func TestBreaksShareNothing(t *testing.T) {
	shared := make([]int, 1, 9)
	shared[0] = 5
	a, b := Breaks{Cuts: shared}, Breaks{Cuts: shared}
	a.Note(7, Cut)
	b.Note(8, Cut)
	b.Note(9, Repeated)
	b.Note(10, Usual)
	assert.Equal(t, Breaks{Cuts: []int{5, 7}}, a)
	assert.Equal(t, Breaks{Cuts: []int{5, 8}, Repeats: []int{9}}, b)
}

// A shot's pictures are of one spotted place, moved by two pixels a frame.
func spotted(t *testing.T, seed uint64, by int) *motion.Picture {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 1))
	var spots [64 * 64]float32
	for i := range spots {
		spots[i] = rng.Float32()
	}
	luma := colour.NewPlane(160, 120)
	for y := range luma.H {
		for x := range luma.W {
			luma.Row(y)[x] = spots[(y/6)*64+(x+by)/6]
		}
	}
	p, err := motion.NewPicture(t.Context(), luma, 1)
	require.NoError(t, err)
	return p
}

func TestJoints(t *testing.T) {
	never := func() (bool, error) { return false, errors.New("it is looked at closely") }
	joint := func(a, b *motion.Picture, isCut func() (bool, error)) (Joint, error) {
		f, err := motion.Between(t.Context(), a, b, 1)
		require.NoError(t, err)
		return JointOf(a, b, f, isCut)
	}
	here, next, other := spotted(t, 1, 0), spotted(t, 1, 2), spotted(t, 2, 0)
	for _, c := range []struct {
		to     *motion.Picture
		closer func() (bool, error)
		want   Joint
	}{
		{next, never, Usual},
		{spotted(t, 1, 0), never, Repeated},
		{other, func() (bool, error) { return true, nil }, Cut},
		{other, func() (bool, error) { return false, nil }, Usual},
	} {
		j, err := joint(here, c.to, c.closer)
		require.NoError(t, err)
		assert.Equal(t, c.want, j)
	}
	_, err := joint(here, other, never)
	assert.Error(t, err)
}

// An outline that came across a cut has no confidence, however well its ends agree.
func TestAnOutlineAcrossACutIsNotSure(t *testing.T) {
	square := []mask.Point{{X: 20, Y: 20}, {X: 60, Y: 20}, {X: 60, Y: 60}, {X: 20, Y: 60}}
	ask := Ask{From: &Carried{Points: square}, To: &Carried{Points: square, Breaks: Breaks{Repeats: []int{8}}}, Share: 0.5, Size: image.Pt(100, 80)}
	r, err := Frame(context.Background(), ask, 1)
	require.NoError(t, err)
	assert.InDelta(t, 1, r.Confidence, 1e-9)
	assert.Equal(t, Breaks{Repeats: []int{8}}, r.Breaks)
	ask.From.Breaks.Cuts = []int{5}
	across, err := Frame(context.Background(), ask, 1)
	require.NoError(t, err)
	assert.Zero(t, across.Confidence)
	assert.Equal(t, Breaks{Cuts: []int{5}, Repeats: []int{8}}, across.Breaks)
	assert.Equal(t, r.Found, across.Found, "the outline is the same")
}
