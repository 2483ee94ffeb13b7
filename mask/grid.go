package mask

import (
	"math"
	"math/bits"
)

// unit is how many grid units make a pixel. One is far under what a weight can
// show (1/65536 pixel of edge moves a 16-bit code by 1), and a picture's
// coordinates leave the products of two differences well inside 64 bits.
const unit = 1 << 16

// A spot is a place on the grid.
type spot struct{ x, y int64 }

func spotOf(p Point) spot {
	return spot{int64(math.Floor(float64(p.X*unit) + 0.5)), int64(math.Floor(float64(p.Y*unit) + 0.5))}
}

func (s spot) point() Point { return Point{float64(s.x) / unit, float64(s.y) / unit} }

func (s spot) minus(t spot) spot { return spot{s.x - t.x, s.y - t.y} }

// before orders spots by row, then by column.
func (s spot) before(t spot) bool { return s.y < t.y || s.y == t.y && s.x < t.x }

func (s spot) compare(t spot) int {
	switch {
	case s == t:
		return 0
	case s.before(t):
		return -1
	}
	return 1
}

// det returns u.x v.y - u.y v.x, correct in sign, and in value to the last
// bits of a float64. It is positive where the turn from u to v is the one from
// the x axis to the y axis. Coordinates are under 2^62.
func det(u, v spot) float64 {
	if small(u.x) && small(u.y) && small(v.x) && small(v.y) {
		return float64(u.x*v.y - u.y*v.x)
	}
	h1, l1 := multiply(u.x, v.y)
	h2, l2 := multiply(u.y, v.x)
	low, borrow := bits.Sub64(l1, l2, 0)
	high, _ := bits.Sub64(h1, h2, borrow)
	return wide(high, low)
}

// small reports whether x is so near 0 that a product of two such, and the
// difference of two products, fit an int64.
func small(x int64) bool { return uint64(x+1<<30) < 1<<31 }

// multiply returns the 128 bits of a times b, two's complement.
func multiply(a, b int64) (high, low uint64) {
	high, low = bits.Mul64(uint64(a), uint64(b))
	if a < 0 {
		high -= uint64(b)
	}
	if b < 0 {
		high -= uint64(a)
	}
	return high, low
}

// wide returns a two's complement number of 128 bits as a float64.
func wide(high, low uint64) float64 {
	sign := 1.0
	if int64(high) < 0 {
		var borrow uint64
		low, borrow = bits.Sub64(0, low, 0)
		high, _ = bits.Sub64(0, high, borrow)
		sign = -1
	}
	return sign * (float64(float64(high)*(1<<32)*(1<<32)) + float64(low))
}

// side returns the sign of where p lies from the line a to b: positive where
// det(b-a, p-a) is.
func side(a, b, p spot) int { return signOf(det(b.minus(a), p.minus(a))) }

func signOf(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// nearest returns the whole number next to v, the upper one of two.
func nearest(v float64) int64 { return int64(math.Floor(float64(v) + 0.5)) }

// divide returns the quotient of a over b, b > 0, rounded down, and the rest.
func divide(a, b int64) (quotient, rest int64) {
	quotient, rest = a/b, a%b
	if rest < 0 {
		quotient, rest = quotient-1, rest+b
	}
	return quotient, rest
}
