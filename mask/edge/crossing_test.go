package edge

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
)

// halved is a loose disc about a trial's, but for what lies right of x.
func halved(cx, cy, r, x float64) mask.Shape {
	s := disc(cx, cy, r)
	for i, p := range s.Points {
		s.Points[i].X = min(p.X, x)
	}
	return s
}

// An outline that runs through the disc crosses it where it does, over the chord of a circle:
// 2 sqrt(80^2 - 40^2) px. One drawn loosely about it, or tight, or on its edge, or over the
// picture's border, crosses nothing.
func TestCrossings(t *testing.T) {
	s := newTrial(360, 300, 180, 150, 80)
	how := mask.Search{Depth: 24}
	found := s.find(t, halved(180, 150, 112, 220), how, 1).Crossings
	require.Len(t, found, 1)
	assert.InDelta(t, 220, found[0].At.X, lineNear+1)
	assert.InDelta(t, 150, found[0].At.Y, 15)
	assert.InDelta(t, 2*math.Sqrt(80*80-40*40), found[0].Length, 30)

	assert.Empty(t, s.find(t, disc(180, 150, 112), how, 1).Crossings, "loose")
	assert.Empty(t, s.find(t, wavy(180, 150, 81), how, 1).Crossings, "on the edge")
	how.Tight = true
	assert.Empty(t, s.find(t, halved(180, 150, 112, 220), how, 1).Crossings, "tight: it is searched on both sides")
	how.Tight = false
	s = newTrial(360, 300, 40, 150, 80)
	assert.Empty(t, s.find(t, disc(40, 150, 112), how, 1).Crossings, "over the border")
	found = s.find(t, halved(40, 150, 112, 90), how, 1).Crossings
	require.NotEmpty(t, found)
	assert.InDelta(t, 90, found[0].At.X, lineNear+1)
}

// In a large picture lengths grow.
func TestCrossingsInALargePicture(t *testing.T) {
	const unit = 1800. / refLines
	s := newTrial(600, 1800, 300, 900, 80*unit)
	how := mask.Search{Depth: 24 * unit}
	assert.Empty(t, s.find(t, disc(300, 900, 112*unit), how, 1).Crossings)
	found := s.find(t, halved(300, 900, 112*unit, 300+40*unit), how, 1).Crossings
	require.Len(t, found, 1)
	assert.InDelta(t, 300+40*unit, found[0].At.X, (lineNear+1)*unit)
	assert.InDelta(t, 2*math.Sqrt(80*80-40*40)*unit, found[0].Length, 30*unit)
}

// A stretch that goes over where a closed line begins is one; a break of a few places does
// not end it, more do.
func TestStretchesOfAClosedEdge(t *testing.T) {
	edge := func(crosses func(i int) bool) []beside {
		all := make([]beside, 100)
		for i := range all {
			all[i] = beside{at: mask.Point{X: float64(i)}, known: true, on: true, contrast: 10, ratio: 2}
			if crosses(i) {
				all[i].contrast = 1
			}
		}
		return all
	}
	over := func(i int) bool { return i >= 80 || i < 20 }
	assert.Equal(t, []Crossing{{mask.Point{X: 99}, 80}}, crossingsOf(edge(over), 6, 2))
	assert.Len(t, crossingsOf(edge(func(i int) bool { return i < 28 && (i < 10 || i > 9+bridged) }), 6, 1), 1)
	assert.Empty(t, crossingsOf(edge(func(i int) bool { return i < 28 && (i < 10 || i > 10+bridged) }), 6, 1))
	assert.Empty(t, crossingsOf(edge(func(i int) bool { return i < leastStretch-1 }), 6, 1))
	all := crossingsOf(edge(func(int) bool { return true }), 6, 1)
	require.Len(t, all, 1)
	assert.Equal(t, 100.0, all[0].Length, "all of it")
	assert.Empty(t, crossingsOf(nil, 6, 1))
}
