package mask

import (
	"math"
	"slices"
)

// Whatever is nearest to a pixel, it is either the inside of a border, and the
// pixel lies between the border's two ends; or a corner, and the pixel lies in
// the wedge beyond both borders that meet there. So the distance of every
// pixel near the edge is the least of what these strips and wedges, drawn one
// by one, say of it (after S. Mauch 2000, "A Fast Algorithm for Computing the
// Closest Point and Distance Transform"). They overlap little.

// slack, in grid units, makes strips and wedges overlap a little, so that
// rounding leaves no gap: a distance is then wrong by under 1e-9 pixel.
const slack = 0.25

// A halfPlane is the places p with low <= x p.x + y p.y <= high, p relative
// to the figure's anchor.
type halfPlane struct{ x, y, low, high float64 }

// A figure is a strip or a wedge: the pixel centres within reach of its
// anchor, row by row, that two half-planes contain, and their squared distance,
// which is the square of across for a strip and the plain one for a wedge.
type figure struct {
	anchor        spot
	column, start int64 // the anchor's pixel, and how far left of the anchor its centre is
	rows          [2]int32
	columns       [2]int32
	a, b          halfPlane
	reach         float64 // of a wedge; 0 for a strip
}

// figures appends to out the strips and wedges that reach pixels of w x h, of
// size grid units. inner and outer are in grid units.
func (a *area) figures(out []figure, size int64, w, h int, inner, outer float64) []figure {
	out = slices.Grow(out, len(a.borders)+len(a.corners))
	add := func(f figure, corners ...Point) {
		if f.place(size, w, h, corners) {
			out = append(out, f)
		}
	}
	for _, b := range a.borders {
		d := b.to.minus(b.from)
		along, n := direction(d)
		across := Point{-along.Y, along.X}
		f := figure{anchor: b.from}
		f.a = halfPlane{along.X, along.Y, -slack, n + slack}
		f.b = halfPlane{across.X, across.Y, -outer - slack, inner + slack}
		end := Point{float64(d.x), float64(d.y)}
		in, far := across.times(inner), across.times(-outer)
		add(f, in, far, end.plus(in), end.plus(far))
	}
	for _, c := range a.corners {
		reach := outer
		switch turn := det(c.in, c.out); {
		case !c.simple:
			reach = max(inner, outer)
		case turn < 0:
			reach = inner
		}
		in, _ := direction(c.in)
		out, _ := direction(c.out)
		f := figure{anchor: c.at, reach: reach + slack}
		f.a = halfPlane{in.X, in.Y, -slack, math.Inf(1)}
		f.b = halfPlane{out.X, out.Y, math.Inf(-1), slack}
		low, high := wedge(in, out, reach)
		add(f, low, high)
	}
	return out
}

// wedge returns the corners of a rectangle about the places within reach that
// lie ahead of in and behind out.
func wedge(in, out Point, reach float64) (low, high Point) {
	side := 1.0
	if float64(in.X*out.Y) > float64(in.Y*out.X) {
		side = -1
	}
	p, q := Point{-in.Y, in.X}.times(side*reach), Point{-out.Y, out.X}.times(side*reach)
	low = Point{min(p.X, q.X, 0), min(p.Y, q.Y, 0)}
	high = Point{max(p.X, q.X, 0), max(p.Y, q.Y, 0)}
	if in.X >= 0 && out.X <= 0 {
		high.X = reach
	}
	if in.X <= 0 && out.X >= 0 {
		low.X = -reach
	}
	if in.Y >= 0 && out.Y <= 0 {
		high.Y = reach
	}
	if in.Y <= 0 && out.Y >= 0 {
		low.Y = -reach
	}
	return low, high
}

// direction returns d at length 1, and its length.
func direction(d spot) (Point, float64) {
	p := Point{float64(d.x), float64(d.y)}
	n := length(p)
	return p.times(1 / n), n
}

func (p Point) plus(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// place works out the rows and columns of a figure between corners, relative
// to its anchor, and reports whether there are any.
func (f *figure) place(size int64, w, h int, corners []Point) bool {
	half := size / 2
	var rest int64
	f.column, rest = divide(f.anchor.x, size)
	f.start = half - rest
	low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, c := range corners {
		low = Point{min(low.X, c.X), min(low.Y, c.Y)}
		high = Point{max(high.X, c.X), max(high.Y, c.Y)}
	}
	f.columns = pixelsOf(float64(f.anchor.x), low.X, high.X, size, w)
	f.rows = pixelsOf(float64(f.anchor.y), low.Y, high.Y, size, h)
	return f.columns[0] < f.columns[1] && f.rows[0] < f.rows[1]
}

// pixelsOf returns the pixels [from,to) of n whose centres may lie between low
// and high of at, and one more at either end.
func pixelsOf(at, low, high float64, size int64, n int) [2]int32 {
	from := math.Floor((at+low)/float64(size)) - 1
	to := math.Ceil((at+high)/float64(size)) + 1
	return [2]int32{int32(min(max(from, 0), float64(n))), int32(min(max(to, 0), float64(n)))}
}

// within narrows [from,to], x relative to the anchor, to where the half-plane
// contains it at y.
func (p *halfPlane) within(y, from, to float64) (float64, float64) {
	at := float64(p.y * y)
	low, high := p.low-at, p.high-at
	switch {
	case p.x > 0:
		return max(from, low/p.x), min(to, high/p.x)
	case p.x < 0:
		return max(from, high/p.x), min(to, low/p.x)
	case low > 0 || high < 0:
		return 1, 0
	}
	return from, to
}

// row lowers the squared distances, in pixels, of a row of pixel centres to
// what the figure says, and returns the columns [from,to) it went over.
func (f *figure) row(row int, size int64, squares []float32) (from, to int) {
	y := float64(int64(row)*size + size/2 - f.anchor.y)
	low, high := math.Inf(-1), math.Inf(1)
	if f.reach > 0 {
		rest := float64(f.reach*f.reach) - float64(y*y)
		if rest < 0 {
			return 0, 0
		}
		high = math.Sqrt(rest)
		low = -high
	}
	low, high = f.a.within(y, low, high)
	low, high = f.b.within(y, low, high)
	if !(low <= high) {
		return 0, 0
	}
	from, to = f.between(low, high, size)
	if from >= to {
		return 0, 0
	}
	x := float64((int64(from)-f.column)*size + f.start)
	if f.reach > 0 {
		lowerToSpot(squares[from:to], x, float64(y*y), float64(size))
	} else {
		lowerToLine(squares[from:to], x, f.b.x, float64(f.b.y*y), float64(size))
	}
	return from, to
}

// between returns the columns whose centres lie from low to high of the anchor.
func (f *figure) between(low, high float64, size int64) (from, to int) {
	const far = 1 << 40
	start, stride := float64(f.start), float64(size)
	first := int64(math.Ceil(max((low-start)/stride, -far)))
	last := int64(math.Floor(min((high-start)/stride, far)))
	return max(int(f.column+first), int(f.columns[0])), min(int(f.column+last)+1, int(f.columns[1]))
}

// perSquare is a grid unit squared, in pixels squared.
const perSquare = 1.0 / (unit * unit)

// lowerToLine lowers squares to those of the distances from a line, which are
// slope x + offset for x, x + stride, ...: all whole numbers, so that it does
// not matter where a row begins.
func lowerToLine(squares []float32, x, slope, offset, stride float64) {
	for i := range squares {
		d := float64(slope*x) + offset
		if s := float32(float64(d*d) * perSquare); s < squares[i] {
			squares[i] = s
		}
		x += stride
	}
}

// lowerToSpot does the same for the distances from a spot.
func lowerToSpot(squares []float32, x, ySquare, stride float64) {
	for i := range squares {
		if s := float32((float64(x*x) + ySquare) * perSquare); s < squares[i] {
			squares[i] = s
		}
		x += stride
	}
}
