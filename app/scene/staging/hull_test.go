package staging

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/mask"
)

func TestOutlineClearsWhatItGoesAbout(t *testing.T) {
	truth := colour.NewPlane(120, 90)
	for y := range 90 {
		for x := range 120 {
			if (x-40)*(x-40)+(y-30)*(y-30) < 300 || x > 100 && y == 70 {
				truth.Row(y)[x] = 0.4
			}
		}
	}
	points := hullOf(truth, 0, truth.W, 24).outline(9)
	require.Len(t, points, 24)
	for y := range 90 {
		for x, v := range truth.Row(y) {
			if v == 0 {
				continue
			}
			for _, corner := range []mask.Point{{X: float64(x), Y: float64(y)}, {X: float64(x + 1), Y: float64(y + 1)}} {
				require.GreaterOrEqual(t, clearance(points, corner), 8.0)
			}
		}
	}
	require.Nil(t, hullOf(colour.NewPlane(5, 5), 0, 5, 24).outline(9))
}

// clearance is how far inside a convex polygon a point lies, negative outside.
func clearance(points []mask.Point, p mask.Point) float64 {
	least := math.Inf(1)
	for i, a := range points {
		b := points[(i+1)%len(points)]
		cross := (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)
		least = min(least, cross/math.Hypot(b.X-a.X, b.Y-a.Y))
	}
	return least
}
