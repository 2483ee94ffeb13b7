package shot

import (
	"context"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/colour"
	"halocline/mask"
)

// judgedWhole are the figures of a shot's frames where all of each is looked at.
func judgedWhole(t *testing.T, s *Shot) map[int]Frame {
	t.Helper()
	p, err := s.prepare(t.Context())
	require.NoError(t, err)
	r := render.New(s.Source, 1, render.DefaultCache)
	out := map[int]Frame{}
	var before *moment
	for _, n := range s.Frames {
		now, err := p.look(t.Context(), r, n, image.Rectangle{})
		require.NoError(t, err)
		out[n], err = p.figures(t.Context(), r, n, now, before)
		require.NoError(t, err)
		before = now
	}
	return out
}

// What is looked at of a frame says all that the whole does: with a truth and without, and
// whichever frames are judged with it. The square lies beside the mask, where nothing is kept:
// yet what the pick finds there has a part in the mask's shift.
func TestFiguresAreThoseOfTheWholeFrame(t *testing.T) {
	r := &reel{w: 640, h: 400, left: func(n int) int { return 45 + 5*n }, sigma: 0.01}
	s := r.shot(t, 3, map[int][]mask.Point{1: rectangle(170, 20, 570, 380), 3: rectangle(160, 20, 560, 380)})
	whole := judgedWhole(t, s)
	requireSameFigures(t, whole, judgedFrames(t, s), "without a truth")
	one := map[int]Frame{}
	for _, n := range s.Frames {
		require.NoError(t, s.Each(t.Context(), []int{n}, func(f Frame) { one[n] = f }))
	}
	requireSameFigures(t, whole, one, "each alone")
	s.Truth = func(_ context.Context, n int) (colour.Plane, error) { return r.truth(n), nil }
	withTruth := judgedFrames(t, s)
	requireSameFigures(t, whole, withTruth, "with a truth")
	require.NotNil(t, withTruth[2].IoU)
	assert.Zero(t, *withTruth[2].IoU, "all of the square is missed, though it lies outside of what is looked at")
	assert.NotNil(t, withTruth[2].DTSSD)
	assert.Positive(t, whole[2].maskSums[0].sums[0][4], "the square has a part in the shift")
}
