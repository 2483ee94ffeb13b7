package handles

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
)

func twoKeys(from, to int) *mask.Track {
	return &mask.Track{Keys: []mask.Key{
		{Frame: from, Points: square(100, 100, 50).Points, Opacity: 1},
		{Frame: to, Points: square(200, 140, 50).Points, Opacity: 1}}}
}

func TestNeighbours(t *testing.T) {
	track := twoKeys(10, 20)
	at := func(f int) mask.Bound { return mask.Bound{Set: true, Frame: f} }
	for _, tt := range []struct {
		frame         int
		before, after mask.Bound
	}{{5, mask.Bound{}, at(10)}, {10, mask.Bound{}, at(20)}, {12, at(10), at(20)}, {20, at(10), mask.Bound{}}, {30, at(20), mask.Bound{}}} {
		before, after := Neighbours(track, tt.frame)
		assert.Equal(t, tt.before, before, "frame %d", tt.frame)
		assert.Equal(t, tt.after, after, "frame %d", tt.frame)
	}
}

func TestPath(t *testing.T) {
	track := twoKeys(10, 14)
	assert.Equal(t, []PathPoint{
		{mask.Point{X: 150, Y: 100}, true}, {mask.Point{X: 175, Y: 110}, false}, {mask.Point{X: 200, Y: 120}, false},
		{mask.Point{X: 225, Y: 130}, false}, {mask.Point{X: 250, Y: 140}, true}}, Path(track, 1, 12))
	assert.Nil(t, Path(track, 4, 12), "no such vertex")
	assert.Nil(t, Path(track, -1, 12))
	assert.Nil(t, Path(&mask.Track{}, 0, 12))
	assert.Nil(t, Path(&mask.Track{Keys: track.Keys[:1]}, 0, 10), "one key: it stands still")

	long := Path(twoKeys(0, 100003), 0, 50)
	assert.LessOrEqual(t, len(long), 102)
	assert.True(t, long[0].Key)
	assert.Equal(t, PathPoint{mask.Point{X: 200, Y: 140}, true}, long[len(long)-1])
}

// Across a stretch that follows the picture keys have vertices of their own, and no way.
func TestThereIsNoWayAlongAFollowedStretch(t *testing.T) {
	corners := []mask.Point{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 9}, {X: 0, Y: 9}}
	track := &mask.Track{Keys: []mask.Key{
		{Frame: 1, Points: corners[:3], Opacity: 1, Way: mask.Follow},
		{Frame: 10, Points: corners, Opacity: 1},
		{Frame: 14, Points: corners, Opacity: 1},
	}}
	require.NoError(t, track.Check())
	assert.Empty(t, Path(track, 2, 5))
	assert.Len(t, Path(track, 3, 10), 5, "from the key on")
	assert.Len(t, Path(track, 3, 12), 5)
	assert.Empty(t, Path(track, 3, 1), "it has three")
	require.NoError(t, Change{kind: Vertex, index: 3, points: 4, move: mask.Point{X: 1}}.Apply(track, 12, mask.Here))
	assert.ErrorContains(t, Change{kind: Vertex, index: 1, points: 4, move: mask.Point{X: 1}}.Apply(track, 1, mask.Here), "has 3 vertices")
}
