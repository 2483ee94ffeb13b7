package handles

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/ink"
	"halocline/app/view"
	"halocline/mask"
)

// ring is a circle of vertices.
func ring(n int, radius float64) mask.Shape {
	s := mask.Shape{Opacity: 1}
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		s.Points = append(s.Points, mask.Point{X: 300 + radius*cos, Y: 300 + radius*sin})
	}
	return s
}

// shiftsOf are how far a drag to the right by 10 takes each vertex.
func shiftsOf(t *testing.T, s mask.Shape, pull *Pull, x, y float64) []float64 {
	track := trackOf(s)
	require.NoError(t, pull.To(x+10, y, false).Apply(track, 1, mask.Here))
	out := make([]float64, len(s.Points))
	for i, p := range track.At(1).Points {
		out[i] = p.X - s.Points[i].X
		assert.Equal(t, s.Points[i].Y, p.Y)
	}
	return out
}

// A drag of one of the chosen vertices moves them all, a drag of another moves it alone.
func TestChosenVerticesMoveTogether(t *testing.T) {
	s := ring(8, 100)
	h := Of(s, plain, 1)
	h.Choose(1, 4, 6)
	moved := shiftsOf(t, s, h.Grab(Part{Kind: Vertex, Index: 4}, 200, 300), 200, 300)
	assert.InDeltaSlice(t, []float64{0, 10, 0, 0, 10, 0, 10, 0}, moved, 1e-9)
	moved = shiftsOf(t, s, h.Grab(Part{Kind: Vertex, Index: 2}, 300, 400), 300, 400)
	assert.InDeltaSlice(t, []float64{0, 0, 10, 0, 0, 0, 0, 0}, moved, 1e-9)
	track := trackOf(s)
	require.NoError(t, Nudge([]int{0, 7}, 0, 3).Apply(track, 1, mask.Here))
	assert.Equal(t, s.Points[7].Y+3, track.At(1).Points[7].Y)
	assert.Equal(t, s.Points[0].Y+3, track.At(1).Points[0].Y)
	assert.Equal(t, s.Points[1], track.At(1).Points[1])
}

// Neighbours go along: half the way where half the reach lies between, none from the reach on,
// and alike on both sides, also where the outline begins. The reach is one of the screen.
func TestNeighboursGoAlong(t *testing.T) {
	s := ring(200, 100*softReach*200/(2*math.Pi*100)/16) // a 16th of the reach between two vertices
	for _, zoom := range []float64{1, 2} {
		vp := view.Viewport{W: 2000, H: 2000, VW: 2000, VH: 2000, Zoom: zoom, X: 0, Y: 0}
		for _, at := range []int{0, 3, 100} {
			p := s.Points[at]
			moved := shiftsOf(t, s, Of(s, vp, 1).GrabSoft(Part{Kind: Vertex, Index: at}, p.X, p.Y), p.X, p.Y)
			reach := int(16 / zoom)
			assert.InDelta(t, 10, moved[at], 1e-9)
			for by := range 100 {
				left, right := moved[(at+200-by)%200], moved[(at+by)%200]
				assert.InDelta(t, left, right, 0.01)
				switch {
				case by > reach:
					assert.Zero(t, right)
				case by == reach/2:
					assert.InDelta(t, 5, right, 0.05)
				}
			}
		}
	}
	h := Of(s, plain, 1)
	assert.Equal(t, h.Grab(Part{Kind: Centre}, 3, 4), h.GrabSoft(Part{Kind: Centre}, 3, 4), "other parts as ever")
}

func TestVerticesInARectangle(t *testing.T) {
	h := Of(square(100, 100, 200), plain, 1)
	want := h.VerticesIn(ink.Pt{X: 90, Y: 90}, ink.Pt{X: 320, Y: 120})
	assert.Equal(t, []int{0, 1}, want)
	assert.Equal(t, want, h.VerticesIn(ink.Pt{X: 320, Y: 120}, ink.Pt{X: 90, Y: 90}), "whichever corner is first")
	assert.Empty(t, h.VerticesIn(ink.Pt{X: 120, Y: 120}, ink.Pt{X: 150, Y: 150}))
	assert.Empty(t, Of(mask.Shape{}, plain, 1).VerticesIn(ink.Pt{}, ink.Pt{X: 1e9, Y: 1e9}))
}
