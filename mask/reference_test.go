package mask

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// parsePoints reads outlines "x,y x,y | x,y ..." as one: every further one is
// reached from the first point and left the same way.
func parsePoints(t *testing.T, s string) []Point {
	t.Helper()
	var out []Point
	for _, piece := range strings.Split(s, "|") {
		start := len(out)
		for _, f := range strings.Fields(piece) {
			var p Point
			_, err := fmt.Sscanf(f, "%g,%g", &p.X, &p.Y)
			require.NoError(t, err, f)
			out = append(out, p)
		}
		if strings.Contains(s, "|") {
			out = append(out, out[start])
		}
	}
	return out
}

// sum adds up all weights.
func sum(p colour.Plane) float64 {
	total := 0.0
	for _, v := range p.Pix {
		total += float64(v)
	}
	return total
}

func moved(points []Point, scale, dx, dy float64) []Point {
	out := make([]Point, len(points))
	for i, p := range points {
		out[i] = Point{p.X*scale + dx, p.Y*scale + dy}
	}
	return out
}

// Shoelace formula. The two that cross themselves fill more, or other, than
// the formula says: the bow tie two triangles of area 1, the pentagram what
// winds twice but once.
func TestAreasOfPolygons(t *testing.T) {
	middle := 2.5 * 40 * 40 * (7 - 3*math.Sqrt(5)) / 2 * math.Sin(72*math.Pi/180) // pentagon of circumradius 40 over the golden ratio squared
	want := map[string]float64{"bow tie (area 0)": 2, "pentagram (winding)": 2351.14100917 - middle}
	for _, r := range testdata.Table(t, "polygon_areas.csv") {
		points, area := parsePoints(t, r.Text("vertices")), math.Abs(r.Number("signed_area"))
		if w, ok := want[r.Text("polygon")]; ok {
			area = w
		}
		for _, shift := range []float64{20, 20.3} {
			got := draw(t, Shape{Points: moved(points, 1, shift, shift), Opacity: 1}, Whole(120, 120), 1)
			assert.InDelta(t, area, sum(got), 1e-3*max(1, r.Number("perimeter")/40), "%s, moved by %v", r.Text("polygon"), shift)
		}
		proxy := draw(t, Shape{Points: moved(points, 1, 20, 20), Opacity: 1}, Region{0, 0, 120, 120, 4}, 1)
		assert.InDelta(t, area, 16*sum(proxy), 1e-3*max(1, r.Number("perimeter")/40), "%s, a quarter of the size", r.Text("polygon"))
	}
}

// SVG 2, fill-rule non-zero.
func TestWindingRules(t *testing.T) {
	cases := 0
	for _, r := range testdata.Table(t, "winding_rules.csv") {
		cases++
		s := Shape{Points: parsePoints(t, r.Text("vertices")), Opacity: 1}
		x, y := int(r.Number("qx")), int(r.Number("qy"))
		want := float32(0)
		if r.Text("nonzero") == "inside" {
			want = 1
		}
		require.Contains(t, []string{"inside", "outside"}, r.Text("nonzero"))
		// A place off the edges, drawn a hundred times larger: the pixel about it is all in or all out.
		large := Shape{Points: moved(s.Points, 100, 50, 50), Opacity: 1}
		got := draw(t, large, Region{100*x + 50, 100*y + 50, 100*x + 51, 100*y + 51, 1}, 1)
		assert.Equal(t, want, got.At(0, 0), "%s at (%d,%d)", r.Text("figure"), x, y)
	}
	assert.Equal(t, 64, cases)
}

// Barry & Goldman's pyramid.
func TestCatmullRom(t *testing.T) {
	spots := []spot{{0, 0}, {1 * unit, 2 * unit}, {3 * unit, 3 * unit}, {4 * unit, 0}}
	c := arcOf(spots[0], spots[1], spots[2], spots[3])
	for _, r := range testdata.Table(t, "catmull_rom.csv") {
		p := c.at(r.Number("t"))
		assert.InDelta(t, r.Number("x_centripetal"), 1+p.X, 1e-11, "x at %s", r.Text("t"))
		assert.InDelta(t, r.Number("y_centripetal"), 2+p.Y, 1e-11, "y at %s", r.Text("t"))
	}
}

func TestSmoothstepRamp(t *testing.T) {
	for _, r := range testdata.Table(t, "smoothstep.csv") {
		u, want := float32(r.Number("t")), r.Number("smoothstep")
		weights := []float32{1}
		(&ramp{outer: 2, steep: 0.2, blend: 1}).weigh(weights, []float32{(5*u - 2) * (5*u - 2)})
		if u >= 0.4 {
			assert.InDelta(t, want, weights[0], 1e-6, "inside at %v", u)
		}
		weights[0] = 0
		(&ramp{outer: 5, steep: 0.2, blend: 1}).weigh(weights, []float32{(5 - 5*u) * (5 - 5*u)})
		assert.InDelta(t, want, weights[0], 1e-6, "outside at %v", u)
	}
}

// squaresOf returns the squared distances of all pixel centres to the edge.
func squaresOf(t *testing.T, points []Point, w, h int) colour.Plane {
	t.Helper()
	a, err := fill(Shape{Points: points}.outline())
	require.NoError(t, err)
	p := colour.NewPlane(w, h)
	for i := range p.Pix {
		p.Pix[i] = far
	}
	for _, f := range a.figures(nil, unit, w, h, 1000*unit, 1000*unit) {
		for y := int(f.rows[0]); y < int(f.rows[1]); y++ {
			f.row(y, unit, p.Row(y))
		}
	}
	return p
}

// Felzenszwalb & Huttenlocher 2012: distances to the nearest of many pixels'
// centres, each a speck of 1/1024 pixel.
func TestDistancesToPixels(t *testing.T) {
	blocks := map[string][][]float64{}
	for _, r := range testdata.Table(t, "distances_16x16.csv") {
		block := r.Text("block")
		blocks[block] = append(blocks[block], r.NumbersFrom("c0"))
	}
	for name, value := range map[string]float64{"outside": 1, "inside": 0} {
		want := blocks[blockNamed(t, blocks, name)]
		got := squaresOf(t, specks(blocks["mask"], value), 16, 16)
		for y := range want {
			for x := range want[y] {
				if blocks["mask"][y][x] != value {
					assert.InDelta(t, math.Sqrt(want[y][x]), math.Sqrt(float64(got.At(x, y))), 1e-3, "%s, (%d,%d)", name, x, y)
				}
			}
		}
	}
}

func blockNamed(t *testing.T, blocks map[string][][]float64, part string) string {
	t.Helper()
	for name := range blocks {
		if strings.Contains(name, part) {
			return name
		}
	}
	require.Fail(t, "no block", part)
	return ""
}

// specks is one outline about the centres of all pixels of a value: a walk
// from each to the next, and all the way back.
func specks(mask [][]float64, value float64) []Point {
	const e = 1.0 / 2048
	var out, back []Point
	for y, row := range mask {
		for x, v := range row {
			if v == value {
				cx, cy := float64(x)+0.5, float64(y)+0.5
				start := Point{cx - e, cy - e}
				out = append(out, start, Point{cx + e, cy - e}, Point{cx + e, cy + e}, Point{cx - e, cy + e}, start)
				back = append([]Point{start}, back...)
			}
		}
	}
	return append(out, back...)
}
