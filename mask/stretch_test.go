package mask

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// followed is a track that follows the picture from frame 10 to 20 and goes straight from
// there to 30.
func followed() *Track {
	return &Track{Search: 6, Keys: []Key{
		{Frame: 10, Way: Follow, Points: square(0, 0, 10), Opacity: 1, Inner: 2},
		{Frame: 20, Points: square(50, 0, 10)[:3], Opacity: 0.5, Inner: 4, Tight: true},
		{Frame: 30, Points: square(80, 0, 10)[:3], Opacity: 1},
	}}
}

func TestAStretchIsBetweenItsKeys(t *testing.T) {
	k := followed()
	require.NoError(t, k.Check())
	for _, frame := range []int{5, 10, 20, 25, 30, 40} {
		assert.Nil(t, k.StretchAt(frame), "frame %d", frame)
	}
	s := k.StretchAt(12)
	require.NotNil(t, s)
	assert.Equal(t, 12, s.Frame)
	assert.Equal(t, Anchor{10, k.At(10), Search{Depth: 6}}, *s.From)
	assert.Equal(t, Anchor{20, k.At(20), Search{Depth: 6, Tight: true}}, *s.To)
	assert.Equal(t, s, k.Layer(12, false).Stretch)
	k.Before, k.After = Follows, Follows
	assert.Equal(t, &Stretch{Frame: 5, To: s.From}, k.StretchAt(5))
	assert.Equal(t, 30, k.StretchAt(31).From.Frame)
	assert.Nil(t, k.StretchAt(31).To)
}

// The outline of a followed frame, as far as keys tell it, is the nearest key's; numbers go
// straight.
func TestNumbersGoStraightAlongAStretch(t *testing.T) {
	k := followed()
	for frame, points := range map[int][]Point{12: square(0, 0, 10), 15: square(0, 0, 10), 16: square(50, 0, 10)[:3]} {
		at := k.At(frame)
		assert.Equal(t, points, at.Points)
		assert.InDelta(t, 2+0.2*float64(frame-10), at.Inner, 1e-12)
		assert.InDelta(t, 1-0.05*float64(frame-10), at.Opacity, 1e-12)
	}
	assert.InDelta(t, 65, k.At(25).Points[0].X, 1e-12, "as between any two keys")
}

func TestPointsDifferAcrossAStretchAlone(t *testing.T) {
	k := followed()
	k.Keys[0].Way = Straight
	assert.EqualError(t, k.Check(), "mask: key at frame 20 has 3 points, want 4 as at frame 10, or the way there to follow the picture")
	k = followed()
	_, err := k.InsertPoint(30, 0, 0.5)
	require.NoError(t, err)
	assert.Len(t, k.Keys[0].Points, 4)
	assert.Len(t, k.Keys[1].Points, 4)
	assert.Len(t, k.Keys[2].Points, 4)
	require.NoError(t, k.RemovePoint(10, 0))
	assert.Len(t, k.Keys[0].Points, 3)
	assert.Len(t, k.Keys[1].Points, 4)
	require.NoError(t, k.Check())
}

// A change on a followed frame splits the stretch; beyond it nothing moves.
func TestAChangeSplitsAStretch(t *testing.T) {
	for _, reach := range []Reach{Here, Onward} {
		k := followed()
		require.NoError(t, k.MovePoint(17, reach, 0, 5, 0))
		require.Len(t, k.Keys, 4)
		assert.Equal(t, 55., k.Keys[1].Points[0].X)
		assert.Equal(t, Follow, k.Keys[0].Way)
		assert.Equal(t, Follow, k.Keys[1].Way)
		assert.Equal(t, square(50, 0, 10)[:3], k.Keys[2].Points)
		require.NoError(t, k.Check())
	}
	k := followed()
	k.After = Follows
	k.Move(40, Here, 1, 0)
	assert.Equal(t, Follow, k.Keys[2].Way)
	assert.Equal(t, []int{30, 40}, []int{k.StretchAt(35).From.Frame, k.StretchAt(35).To.Frame})
	k.Before = Follows
	k.Move(3, Here, 1, 0)
	assert.Equal(t, Follow, k.Keys[0].Way)
	require.NoError(t, k.MovePoint(3, Everywhere, 0, 9, 0))
	assert.Equal(t, 0., k.At(10).Points[0].X)
}

func TestAnOutlineIsTakenWithinAStretch(t *testing.T) {
	k := followed()
	five := []Point{{0, 0}, {10, 0}, {20, 5}, {10, 10}, {0, 10}}
	require.NoError(t, k.TakeOutline(15, five, true))
	require.NoError(t, k.Check())
	require.Len(t, k.Keys, 4)
	assert.Equal(t, Key{Frame: 15, Way: Follow, Points: five, Inner: 3, Opacity: 0.75, Tight: true}, k.Keys[1])
	assert.Equal(t, square(0, 0, 10), k.Keys[0].Points)
	require.NoError(t, k.TakeOutline(10, five[:4], true), "its only neighbour follows")
	assert.Equal(t, five[:4], k.Keys[0].Points)
}

// A rounded track stays rounded for its other keys; the curve of the one that is made goes
// along the outline.
func TestAnOutlineIsTakenWithinARoundedStretch(t *testing.T) {
	k := followed()
	k.Rounded = true
	before := k.Clone()
	outline := []Point{{0, 0}, {60, 0}, {60, 3}, {30, 3}, {30, 40}, {0, 40}}
	require.NoError(t, k.TakeOutline(15, outline, true))
	require.NoError(t, k.Check())
	assert.True(t, k.Rounded)
	assert.False(t, k.CurvesElsewhere(15))
	curve := Outline(k.At(15), 0.01)
	assert.LessOrEqual(t, farFromLine(curve, outline), 0.55)
	assert.LessOrEqual(t, farFromLine(outline, curve), 1e-4)
	for _, frame := range []int{10, 20, 30} {
		assert.Equal(t, before.At(frame), k.At(frame))
	}
	assert.ErrorContains(t, k.TakeOutline(20, outline, true), "rounded", "the key after it has its points")
}

// Without the key between them, keys of different points are led to each other by the picture.
func TestAKeyBetweenDifferentKeysIsRemoved(t *testing.T) {
	k := followed()
	k.Keys[0].Points = square(0, 0, 10)[:3]
	k.Keys[2].Points = square(80, 0, 10)
	k.Keys[0].Way, k.Keys[1].Way = Straight, Follow
	require.NoError(t, k.Check())
	k.RemoveKey(20)
	require.NoError(t, k.Check())
	assert.Equal(t, Follow, k.Keys[0].Way)
	k = followed()
	k.RemoveKey(10)
	assert.Equal(t, Straight, k.Keys[0].Way, "nothing is between the first key and the one before it")
}

func TestAStretchIsBounded(t *testing.T) {
	k := followed()
	k.Before, k.After = Follows, Follows
	assert.Nil(t, k.StretchAt(30+MaxStretch+1))
	assert.NotNil(t, k.StretchAt(30+MaxStretch))
	assert.Nil(t, k.StretchAt(10-MaxStretch-1))
	k.Keys[2].Frame = 1e9
	require.NoError(t, k.Check(), "straight there")
	k.Keys[1].Way = Follow
	assert.EqualError(t, k.Check(), "mask: it follows the picture from frame 20 to 1000000000, want 100000 frames at most")
}
