package mask

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The borders have what is filled on their one side, what is not on the other.
func TestBordersLieBetweenFilledAndNot(t *testing.T) {
	for name, points := range polygons() {
		for _, rounded := range []bool{false, true} {
			s := Shape{Points: points, Rounded: rounded, Opacity: 1}
			loops, err := Borders(s, 0.01)
			require.NoError(t, err)
			fills := twinOf(Outline(s, 0.01))
			want, got := 0.0, 0.0
			for _, side := range fills.sides {
				want += length(side[1].plus(side[0].times(-1)))
			}
			for _, loop := range loops {
				require.GreaterOrEqual(t, len(loop), 3, name)
				for i, a := range loop {
					b := loop[(i+1)%len(loop)]
					d := Point{b.X - a.X, b.Y - a.Y}
					n := length(d)
					got += n
					if n < 0.5 { // too short to look past its neighbours
						continue
					}
					middle, off := Point{(a.X + b.X) / 2, (a.Y + b.Y) / 2}, Point{-d.Y, d.X}.times(0.002/n)
					assert.NotZero(t, fills.winding(middle.plus(off)), "%s, rounded %v: beside %v", name, rounded, middle)
					assert.Zero(t, fills.winding(middle.plus(off.times(-1))), "%s, rounded %v: beside %v", name, rounded, middle)
				}
			}
			assert.InDelta(t, want, got, 0.01, "%s, rounded %v: how long they are", name, rounded)
		}
	}
}

// A pentagram of circumradius R is ten triangles about its middle, with the
// sides R and R sin 18 / sin 54 and 36 degrees between (plane trigonometry).
func TestBordersOfAPentagram(t *testing.T) {
	const R = 20
	var star []Point
	for i := range 5 {
		sin, cos := math.Sincos(float64(i) * 144 * math.Pi / 180)
		star = append(star, Point{24 + R*cos, 24 + R*sin})
	}
	loops, err := Borders(Shape{Points: star, Opacity: 1}, 0.1)
	require.NoError(t, err)
	require.Len(t, loops, 1)
	assert.Len(t, loops[0], 10) // five tips, and five where its lines cross
	sin := func(degrees float64) float64 { return math.Sin(degrees * math.Pi / 180) }
	assert.InDelta(t, 10*R*R*sin(18)/sin(54)*sin(36)/2, areaOf(loops[0]), 0.01)
}

// areaOf is the shoelace formula: positive for clockwise on the screen.
func areaOf(loop []Point) (sum float64) {
	for i, p := range loop {
		q := loop[(i+1)%len(loop)]
		sum += across(p, q) / 2
	}
	return sum
}

func TestBordersOfAHole(t *testing.T) {
	loops, err := Borders(Shape{Points: polygons()["hole"], Opacity: 1}, 0.1)
	require.NoError(t, err)
	total := 0.0
	for _, loop := range loops {
		total += areaOf(loop)
	}
	assert.InDelta(t, 32*24-16*12, total, 1e-9)
}

func TestBordersRefused(t *testing.T) {
	_, err := Borders(Shape{Points: []Point{{1, 1}, {2, 2}}}, 0.1)
	assert.EqualError(t, err, "mask: polygon has 2 points, want 3 or more")
	loops, err := Borders(Shape{Points: []Point{{1, 1}, {2, 2}, {3, 3}}}, 0.1)
	require.NoError(t, err)
	assert.Empty(t, loops, "what fills nothing has no edge")
}
