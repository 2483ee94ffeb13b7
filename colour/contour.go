package colour

import (
	"math"
)

// Half is the alpha of a matte's contour.
const Half = 0.5

// A Segment is a straight piece of a contour, in pixels: pixel (x,y) has its
// centre at (x+.5, y+.5).
type Segment struct{ X0, Y0, X1, Y1 float32 }

// Length returns its length.
func (s Segment) Length() float64 {
	return math.Hypot(float64(s.X1-s.X0), float64(s.Y1-s.Y0))
}

// Square returns the square of the distance from (x,y) to the nearest point of a
// piece.
func (s Segment) Square(x, y float32) float32 {
	dx, dy := s.X1-s.X0, s.Y1-s.Y0
	x, y = x-s.X0, y-s.Y0
	if length := float32(dx*dx) + float32(dy*dy); length > 0 {
		t := min(max((float32(x*dx)+float32(y*dy))/length, 0), 1)
		x, y = x-float32(t*dx), y-float32(t*dy)
	}
	return float32(x*x) + float32(y*y)
}

// crossings tells, for the corners of a cell that are inside (1 upper left,
// 2 upper right, 4 lower right, 8 lower left), the pairs of sides between which
// the contour runs: 0 above, 1 right, 2 below, 3 left. Cells of two opposite
// corners have two ways to run; these keep the corners apart.
var crossings = [16][]([2]uint8){
	1: {{3, 0}}, 2: {{0, 1}}, 3: {{3, 1}}, 4: {{1, 2}}, 5: {{3, 0}, {1, 2}}, 6: {{0, 2}}, 7: {{3, 2}},
	8: {{2, 3}}, 9: {{2, 0}}, 10: {{0, 1}, {2, 3}}, 11: {{2, 1}}, 12: {{1, 3}}, 13: {{1, 0}}, 14: {{0, 3}},
}

// ContourRow calls each for every piece of the contour at one half between row y
// of a matte and the next, from the left: marching squares (W. E. Lorensen and
// H. E. Cline 1987, "Marching Cubes", SIGGRAPH 21(4), in the plane) over cells
// whose corners are four pixels' centres, with the crossings interpolated
// linearly. Where two opposite corners alone are inside, they are joined if the
// mean of the four is one half or more. The frame's border is no contour.
func ContourRow(matte Plane, y int, each func(x int, s Segment)) {
	upper := matte.Row(y)
	lower := matte.Row(y + 1)[:len(upper)]
	cell := isInside(upper[0])<<1 | isInside(lower[0])<<2
	for x := 1; x < len(upper); x++ {
		// What was right of the last cell is left of this one.
		cell = cell>>1&1 | cell<<1&8 | isInside(upper[x])<<1 | isInside(lower[x])<<2
		if cell == 0 || cell == 15 {
			continue
		}
		c := corners{upper[x-1], upper[x], lower[x], lower[x-1]}
		way := cell
		if (cell == 5 || cell == 10) && c.mean() >= Half {
			way = 15 - cell
		}
		for _, side := range crossings[way] {
			x0, y0 := c.crossing(side[0])
			x1, y1 := c.crossing(side[1])
			dx, dy := float32(x)-0.5, float32(y)+0.5
			each(x-1, Segment{dx + x0, dy + y0, dx + x1, dy + y1})
		}
	}
}

func isInside(alpha float32) uint8 {
	if alpha >= Half {
		return 1
	}
	return 0
}

// corners are a cell's alphas: upper left, upper right, lower right, lower left.
type corners [4]float32

// mean is in float64, which adds four alphas without rounding: a mean of one half
// is one half.
func (c corners) mean() float64 {
	return (float64(c[0]) + float64(c[1]) + float64(c[2]) + float64(c[3])) / 4
}

// crossing returns where alpha is one half on a side, from the cell's upper left
// corner on.
func (c corners) crossing(side uint8) (x, y float32) {
	switch side {
	case 0:
		return halfWay(c[0], c[1]), 0
	case 1:
		return 1, halfWay(c[1], c[2])
	case 2:
		return halfWay(c[3], c[2]), 1
	}
	return 0, halfWay(c[0], c[3])
}

// halfWay returns where between a at 0 and b at 1, one on each side of it, one half
// lies.
func halfWay(a, b float32) float32 { return (Half - a) / (b - a) }
