package handles

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/ink"
	"halocline/mask"
)

var everywhere = ink.Rect{X0: -1e4, Y0: -1e4, X1: 1e4, Y1: 1e4}

func dotsOf(h *Handles, distance float64, outside bool, spacing float64) (out []ink.Pt) {
	contour{distance, outside, h.edgeOf()}.dots(spacing, everywhere, func(p ink.Pt) { out = append(out, p) })
	return out
}

// slowDistance is the definition of a feather: how far a place is from the edge
// of what is filled, brute force, and whether it is filled.
func slowDistance(t *testing.T, s mask.Shape) func(x, y float64) (distance float64, inside bool) {
	t.Helper()
	borders, err := mask.Borders(s, 0.01)
	require.NoError(t, err)
	return func(x, y float64) (float64, bool) {
		least, turns := math.Inf(1), 0
		for _, loop := range borders {
			for i, a := range loop {
				b := loop[(i+1)%len(loop)]
				dx, dy := b.X-a.X, b.Y-a.Y
				u := min(max(((x-a.X)*dx+(y-a.Y)*dy)/(dx*dx+dy*dy), 0), 1)
				least = min(least, math.Hypot(a.X+u*dx-x, a.Y+u*dy-y))
				if (a.Y <= y) != (b.Y <= y) && a.X+(y-a.Y)/dy*dx > x {
					turns++
				}
			}
		}
		return least, turns%2 == 1
	}
}

// Dots lie where the feather ends, and wherever it ends there are dots.
func TestContourIsWhereTheFeatherEnds(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	shapes := []mask.Shape{swimmer(), square(300, 200, 200), star(400, 300, 160)}
	for range 6 {
		shapes = append(shapes, anyShape(r))
	}
	const spacing = 4
	for _, s := range shapes {
		slow, h := slowDistance(t, s), Of(s, plain, 1)
		for _, outside := range []bool{true, false} {
			for _, d := range []float64{2, 9, 30, 75} {
				dots := dotsOf(h, d, outside, spacing)
				for _, p := range dots {
					distance, inside := slow(p.X, p.Y)
					assert.InDelta(t, d, distance, 3*flatness, "%v: dot %v at %v", s, p, d)
					assert.Equal(t, outside, !inside, "%v: dot %v at %v", s, p, d)
				}
				for range 4000 {
					x, y := 100+600*r.Float64(), 50+500*r.Float64()
					distance, inside := slow(x, y)
					if math.Abs(distance-d) > 0.3 || inside == outside {
						continue
					}
					if _, off := nearest(ink.Pt{X: x, Y: y}, dots); off > 2*spacing {
						assert.Fail(t, "a gap", "%v: %.1f px at (%.1f, %.1f), %v outside %v", s, off, x, y, d, outside)
					}
				}
			}
		}
	}
}

// About a square of side a at distance d lie four sides and a circle (Steiner's
// formula for the perimeter of a parallel body: 4 a + 2 pi d), and inside it a
// square of side a - 2 d. From memory; plane geometry.
func TestContoursOfASquare(t *testing.T) {
	const a, d, spacing = 200, 25, 2
	h := Of(square(300, 200, a), plain, 1)
	assert.InDelta(t, (4*a+2*math.Pi*d)/spacing, len(dotsOf(h, d, true, spacing)), 2)
	assert.InDelta(t, 4*(a-2*d)/spacing, len(dotsOf(h, d, false, spacing)), 2)
	assert.Empty(t, dotsOf(h, a/2+2, false, spacing), "no place inside is so far from the edge")
	assert.Empty(t, dotsOf(h, 1, true, spacing), "on the outline")
	assert.Empty(t, dotsOf(h, 2*farthestContour, true, spacing))
	assert.Empty(t, dotsOf(h, math.NaN(), true, spacing))
}

// What is out of the view costs nothing and draws nothing.
func TestDotsStayInTheView(t *testing.T) {
	view := ink.Rect{X0: 0, Y0: 0, X1: 800, Y1: 600}
	for _, s := range []mask.Shape{square(-1e8, -1e8, 1e8+300), square(5000, 5000, 200), square(200, 200, 100)} {
		for _, d := range []float64{10, 3000} {
			n := 0
			contour{d, true, Of(s, plain, 1).edgeOf()}.dots(4, view, func(p ink.Pt) {
				n++
				assert.True(t, p.X >= 0 && p.X <= 800 && p.Y >= 0 && p.Y <= 600)
			})
			assert.Less(t, n, 800)
		}
	}
}
