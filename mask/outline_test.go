package mask

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// circle is a polygon of n corners about a place, clockwise on the screen.
func circle(x, y, radius float64, n int) (points []Point) {
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		points = append(points, Point{x + radius*cos, y + radius*sin})
	}
	return points
}

// farFromLine is the largest distance of a closed line's vertices from another line.
func farFromLine(line, from []Point) float64 {
	return farthest(line, append(slices.Clone(from), from[0]))
}

func TestTakeOutlineAlone(t *testing.T) {
	track := Track{Rounded: true, Search: 4, Keys: []Key{{Frame: 3, Points: square(0, 0, 10), Inner: 1, Opacity: 0.5}}}
	outline := circle(5, 5, 5, 9)
	require.NoError(t, track.TakeOutline(3, outline, true))
	assert.Equal(t, Track{Search: 4, Keys: []Key{{Frame: 3, Points: outline, Inner: 1, Opacity: 0.5, Tight: true}}}, track)
}

// Whichever way the outline runs and wherever it begins, the new key is the outline and
// the other keys stay as they look, corner by corner.
func TestTakeOutlineKeepsOtherKeys(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		track := threeKeys()
		outline := circle(12+rnd.Float64(), 25, 14, 3+rnd.IntN(40))
		shift := rnd.IntN(len(outline))
		outline = append(slices.Clone(outline[shift:]), outline[:shift]...)
		if rnd.IntN(2) == 0 {
			slices.Reverse(outline)
		}
		frame := []int{5, 15, 20, 40}[rnd.IntN(4)]
		old := track.Clone()
		require.NoError(t, track.TakeOutline(frame, outline, true))
		require.NoError(t, track.Check())
		for _, k := range track.Keys {
			if k.Frame == frame {
				assert.Less(t, farFromLine(k.Points, outline), 1e-9)
				assert.Less(t, farFromLine(outline, k.Points), 1e-9)
				assert.InDelta(t, math.Abs(DoubleArea(outline)), DoubleArea(k.Points), 1e-9, "it runs as the other keys do")
				assert.True(t, k.Tight)
				assert.Equal(t, old.At(frame).Inner, k.Inner)
				continue
			}
			was := old.At(k.Frame).Points
			assert.Less(t, farFromLine(k.Points, was), 1e-9)
			assert.InDelta(t, DoubleArea(was), DoubleArea(k.Points), 1e-9)
			for _, p := range was {
				assert.Contains(t, k.Points, p, "corners stay")
			}
			assert.LessOrEqual(t, len(k.Points), len(was)+len(outline))
		}
	}
}

// A corner goes to the part of the outline that it lies by.
func TestTakeOutlineLeadsCornersToTheNearest(t *testing.T) {
	track := Track{Keys: []Key{{Frame: 0, Points: square(0, 0, 100), Opacity: 1}, {Frame: 10, Points: square(0, 0, 100), Opacity: 1}}}
	outline := []Point{{50, 10}, {90, 10}, {90, 90}, {10, 90}, {10, 10}} // one more along the upper side
	require.NoError(t, track.TakeOutline(10, outline, false))
	assert.Equal(t, []Point{{0, 0}, {50, 0}, {100, 0}, {100, 100}, {0, 100}}, track.Keys[0].Points)
	assert.Equal(t, []Point{{10, 10}, {50, 10}, {90, 10}, {90, 90}, {10, 90}}, track.Keys[1].Points)
}

func TestTakeOutlineRefuses(t *testing.T) {
	track := threeKeys()
	assert.ErrorContains(t, track.TakeOutline(20, []Point{{1, 1}, {1, 1}, {1, 1}}, false), "goes about nothing")
	assert.Equal(t, threeKeys(), track)
	track.Rounded = true
	assert.ErrorContains(t, track.TakeOutline(20, circle(0, 0, 9, 9), false), "rounded")
	assert.True(t, track.CurvesElsewhere(20))
	track.Keys = track.Keys[:1]
	assert.False(t, track.CurvesElsewhere(track.Keys[0].Frame), "no other key has curves to keep")
	assert.True(t, track.CurvesElsewhere(track.Keys[0].Frame+1))
}

// An outline may be drawn anew with other points where no other key has them.
func TestRedraw(t *testing.T) {
	track := followed()
	drawn := circle(10, 10, 5, 17)
	before := track.At(track.Keys[0].Frame)
	frame := track.Keys[0].Frame + 1
	require.NoError(t, track.Redraw(frame, drawn))
	require.NoError(t, track.Check())
	assert.Equal(t, drawn, track.At(frame).Points)
	assert.Equal(t, before, track.At(track.Keys[0].Frame))
	assert.False(t, track.TightAt(frame))
	assert.NotNil(t, track.StretchAt(frame+1), "both halves follow the picture")
	again := circle(12, 12, 5, 9)
	require.NoError(t, track.Redraw(frame, again), "the key that was made")
	assert.Equal(t, again, track.At(frame).Points)

	fixed := threeKeys()
	was := fixed.Clone()
	assert.ErrorContains(t, fixed.Redraw(15, drawn), "want ways to and from it that follow the picture")
	assert.Equal(t, was, fixed)
	alone := Track{Rounded: true, Keys: []Key{{Frame: 3, Points: circle(5, 5, 3, 4), Inner: 1, Opacity: 0.5, Tight: true}}}
	require.NoError(t, alone.Redraw(3, drawn))
	assert.Equal(t, Track{Rounded: true, Keys: []Key{{Frame: 3, Points: drawn, Inner: 1, Opacity: 0.5}}}, alone)
}
