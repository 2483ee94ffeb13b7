package check

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// rectangle is a plane of 0 with 1 in columns x0 to x1 and rows y0 to y1, ends left out.
func rectangle(w, h, x0, y0, x1, y1 int) colour.Plane {
	p := colour.NewPlane(w, h)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			p.Row(y)[x] = 1
		}
	}
	return p
}

// A pick of a square of 40 x 40, cut by a mask that ends in it: three sides are the pick's
// but for their part beyond the mask, the fourth is the mask's.
func TestMaskedEdgeOfACutSquare(t *testing.T) {
	matte := rectangle(100, 100, 30, 30, 50, 70) // 20 x 40 of the square are left
	masks := rectangle(100, 100, 0, 0, 50, 100)
	share, ok, err := MaskedEdge(context.Background(), matte, masks)
	require.NoError(t, err)
	require.True(t, ok)
	assert.InDelta(t, 40./120, share, 0.02)

	whole := rectangle(100, 100, 0, 0, 100, 100)
	share, ok, err = MaskedEdge(context.Background(), matte, whole)
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Zero(t, share, "the masks let all of it through")
	share, _, err = MaskedEdge(context.Background(), matte, matte)
	require.NoError(t, err)
	assert.Equal(t, 1.0, share, "the masks alone end it")
}

// A soft mask is one all along its feather; what is grown past it is its too.
func TestMaskedEdgeOfSoftMasks(t *testing.T) {
	masks := colour.NewPlane(100, 100)
	for y := range 100 {
		for x := range 100 {
			masks.Row(y)[x] = min(max(float32(60-x)/20, 0), 1)
		}
	}
	for _, right := range []int{45, 55, 64} { // within the feather, twice, and beyond
		share, ok, err := MaskedEdge(context.Background(), rectangle(100, 100, 20, 30, right, 70), masks)
		require.NoError(t, err)
		require.True(t, ok)
		beyond := float64(right - 40) // of the level sides, past the mask's whole part
		assert.InDelta(t, (40+2*beyond)/float64(2*40+2*(right-20)), share, 0.03)
	}
}

func TestMaskedEdgeOfNothing(t *testing.T) {
	none := colour.NewPlane(20, 20)
	_, ok, err := MaskedEdge(context.Background(), none, none)
	require.NoError(t, err)
	assert.False(t, ok)
	_, _, err = MaskedEdge(context.Background(), none, colour.NewPlane(20, 21))
	assert.EqualError(t, err, "check: the matte is 20 x 20, its masks 20 x 21")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err = MaskedEdge(ctx, none, none)
	assert.ErrorIs(t, err, context.Canceled)
}
