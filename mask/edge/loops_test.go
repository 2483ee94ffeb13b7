package edge

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/mask"
)

func TestLoopsOfPartsAndHoles(t *testing.T) {
	p := colour.NewPlane(60, 40)
	fill := func(r image.Rectangle, v float32) {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				p.Row(y)[x] = v
			}
		}
	}
	fill(image.Rect(2, 2, 32, 32), 1)
	fill(image.Rect(8, 10, 18, 20), 0)
	fill(image.Rect(40, 5, 55, 20), 1)
	f := &Found{Contours: contours(p, image.Pt(100, 200))}
	largestFirst(f.Contours)
	loops, rough := f.Loops(0.1), f.Loops(1)
	require.Len(t, loops, 3)
	require.Len(t, rough, 3)
	for i, want := range []struct {
		hole           bool
		area           float64
		x0, y0, x1, y1 float64
	}{{false, 900, 102, 202, 132, 232}, {false, 225, 140, 205, 155, 220}, {true, 100, 108, 210, 118, 220}} {
		l := loops[i]
		assert.Equal(t, want.hole, l.Hole, i)
		assert.InDelta(t, want.area, l.Area(), 0.501, "a contour at one half cuts an eighth of a pixel off each corner")
		assert.Len(t, l.Points, 8)
		assert.Len(t, rough[i].Points, 4, "corners of less than a pixel are left out")
		for _, q := range l.Points {
			assert.GreaterOrEqual(t, q.X, want.x0-0.001)
			assert.LessOrEqual(t, q.X, want.x1+0.001)
			assert.GreaterOrEqual(t, q.Y, want.y0-0.001)
			assert.LessOrEqual(t, q.Y, want.y1+0.001)
		}
	}
}

// A contour closes also where it runs through pixels' centres or very near them: depths there
// are 0 or next to it. It goes about what lies inside.
func TestContoursThroughPixelsClose(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	for round := range 400 {
		const w, h = 60, 50
		d := mask.Raster{Plane: colour.NewPlane(w, h)}
		cx, cy, rad, bend := 30+r.Float64(), 25+r.Float64(), 8+10*r.Float64(), 3*r.Float64()
		inside := 0.
		for y := range h {
			for x := range w {
				dx, dy := float64(x)-cx, float64(y)-cy
				v := float32(rad + bend*math.Sin(5*math.Atan2(dy, dx)) - math.Hypot(dx, dy))
				if v > -0.2 && v < 0.2 {
					v = [...]float32{0, 1e-7, -1e-7, 1e-4}[r.IntN(4)]
				}
				d.Row(y)[x] = v
				inside += min(max(float64(v)+0.5, 0), 1)
			}
		}
		require.InDelta(t, inside, mask.DoubleArea(OutlineOf(&d))/2, 0.05*inside, "round %d", round)
	}
}
