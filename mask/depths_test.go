package mask

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// Depths in a disc are the radius less the distance to its middle (a circle's equation);
// the polygon's sides lie up to r (1 - cos(pi/n)) inside it.
func TestDepthsInADisc(t *testing.T) {
	const n, r = 720, 30
	s := Shape{Points: make([]Point, n), Inner: 3, Outer: 9, Opacity: 0.2}
	for i := range s.Points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		s.Points[i] = Point{50.3 + r*cos, 49.6 + r*sin}
	}
	var d colour.Plane
	require.NoError(t, s.Depths(t.Context(), &d, Region{X1: 100, Y1: 100, Factor: 1}, 20, 1))
	for y := range 100 {
		for x := range 100 {
			want := r - math.Hypot(float64(x)+0.5-50.3, float64(y)+0.5-49.6)
			got := float64(d.Row(y)[x])
			assert.InDelta(t, min(max(want, -20), 20), got, 0.02, "(%d,%d)", x, y)
			if math.Abs(want) < 8 {
				assert.InDelta(t, want, got, 2e-3, "(%d,%d)", x, y)
			}
		}
	}
}

// The inverse by what it inverts.
func TestSmoothstepFrom(t *testing.T) {
	for i := range 1001 {
		u := float64(i) / 1000
		assert.InDelta(t, u, smoothstepFrom(3*u*u-2*u*u*u), 1e-9)
	}
}
