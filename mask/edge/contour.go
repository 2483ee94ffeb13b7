package edge

import (
	"cmp"
	"image"
	"math"
	"slices"

	"halocline/colour"
	"halocline/mask"
)

// Contours.
const (
	contourSlack = 0.06 // pixels that a contour may be off by leaving out vertices
	contourLeast = 2    // pixels that a contour goes about, at least
)

// contours returns the contours of weights at one half, of a plane whose first pixel is at
// a place of the source: closed polygons with the inside to the right, on the screen, along
// their way. Beyond the plane the weights are 0.
func contours(p colour.Plane, at image.Point) (loops [][]mask.Point) {
	padded := colour.NewPlane(p.W+2, p.H+2)
	for y := range p.H {
		copy(padded.Row(y + 1)[1:], p.Row(y))
	}
	shift := mask.Point{X: float64(at.X - 1), Y: float64(at.Y - 1)}
	for _, loop := range strung(directed(padded)) {
		points := make([]mask.Point, len(loop))
		for i, q := range loop {
			points[i] = mask.Point{X: float64(q[0]) + shift.X, Y: float64(q[1]) + shift.Y}
		}
		if points = lean(points, contourSlack); len(points) >= 3 && math.Abs(mask.DoubleArea(points)) >= 2*contourLeast {
			loops = append(loops, points)
		}
	}
	return loops
}

type spot [2]float32

// directed returns the pieces of the contour from end to end, with the inside to the right.
func directed(p colour.Plane) (pieces [][2]spot) {
	for y := range p.H - 1 {
		colour.ContourRow(p, y, func(x int, s colour.Segment) {
			piece := [2]spot{{s.X0, s.Y0}, {s.X1, s.Y1}}
			if piece[0] == piece[1] {
				return
			}
			if !insideRight(p, x, y, s) {
				piece[0], piece[1] = piece[1], piece[0]
			}
			pieces = append(pieces, piece)
		})
	}
	return pieces
}

// insideRight tells whether the nearest corner of the piece's cell to the right of it is
// inside.
func insideRight(p colour.Plane, x, y int, s colour.Segment) bool {
	mx, my := (s.X0+s.X1)/2, (s.Y0+s.Y1)/2
	nx, ny := -(s.Y1 - s.Y0), s.X1-s.X0
	near, is := float32(math.Inf(1)), false
	for _, c := range [4]image.Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
		cx, cy := x+c.X, y+c.Y
		if d := (float32(cx)+0.5-mx)*nx + (float32(cy)+0.5-my)*ny; d > 0 && d < near {
			near, is = d, p.At(cx, cy) >= colour.Half
		}
	}
	return is
}

// strung strings pieces together to closed lines, whichever way single pieces go: one that
// runs through a corner of its cell may be turned around. Most of a line's length decides.
func strung(pieces [][2]spot) (loops [][]spot) {
	ends := make(map[spot][]int, len(pieces)) // pieces that begin or end there
	for i, p := range pieces {
		ends[p[0]], ends[p[1]] = append(ends[p[0]], i), append(ends[p[1]], i)
	}
	used := make([]bool, len(pieces))
	next := func(at spot) int {
		for _, i := range ends[at] {
			if !used[i] {
				return i
			}
		}
		return -1
	}
	for first := range pieces {
		var loop []spot
		along := 0.
		at := pieces[first][0]
		for i := first; i >= 0 && !used[i]; i = next(at) {
			used[i] = true
			loop = append(loop, at)
			a, b := pieces[i][0], pieces[i][1]
			length := math.Hypot(float64(b[0]-a[0]), float64(b[1]-a[1]))
			if at == a {
				at = b
				along += length
			} else {
				at = a
				along -= length
			}
		}
		if along < 0 {
			slices.Reverse(loop)
		}
		if len(loop) > 2 {
			loops = append(loops, loop)
		}
	}
	return loops
}

// lean leaves out vertices of a closed line, which stays within so many pixels of where it
// was: D. H. Douglas & T. K. Peucker 1973.
func lean(line []mask.Point, slack float64) []mask.Point {
	far, from := 0., 0
	for i, p := range line {
		if d := math.Hypot(p.X-line[0].X, p.Y-line[0].Y); d > far {
			far, from = d, i
		}
	}
	return append(leanBetween(line[:from+1], slack), leanBetween(append(slices.Clone(line[from:]), line[0]), slack)...)
}

// leanBetween keeps the first point and what is needed, not the last.
func leanBetween(line []mask.Point, slack float64) []mask.Point {
	if len(line) < 2 {
		return nil
	}
	a, b := line[0], line[len(line)-1]
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	far, at := slack, 0
	for i := 1; i < len(line)-1; i++ {
		p := line[i]
		d := math.Hypot(p.X-a.X, p.Y-a.Y)
		if length > 0 {
			d = math.Abs((p.X-a.X)*(b.Y-a.Y)-(p.Y-a.Y)*(b.X-a.X)) / length
		}
		if d > far {
			far, at = d, i
		}
	}
	if at == 0 {
		return []mask.Point{a}
	}
	return append(leanBetween(line[:at+1], slack), leanBetween(line[at:], slack)...)
}

// largestFirst puts closed lines in the order of the areas that they go about.
func largestFirst(loops [][]mask.Point) {
	slices.SortStableFunc(loops, func(a, b []mask.Point) int {
		return cmp.Compare(math.Abs(mask.DoubleArea(b)), math.Abs(mask.DoubleArea(a)))
	})
}

// tied makes one closed polygon of several by lines there and back to the first.
func tied(loops [][]mask.Point) (one []mask.Point) {
	for i, l := range loops {
		one = append(one, l...)
		if i > 0 || len(loops) > 1 {
			one = append(one, l[0])
		}
		if i > 0 {
			one = append(one, loops[0][0])
		}
	}
	return one
}
