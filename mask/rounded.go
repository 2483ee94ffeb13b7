package mask

import "math"

// A curve becomes a chain of straight pieces, none farther from it than
// flatness, in pixels: under one code of an 8-bit matte. It is halved until
// that is so, at most maxHalvings times, which no curve inside an 8K picture
// needs.
const (
	flatness    = 1.0 / 256
	maxHalvings = 10
)

// Outline returns the shape's outline as the corners of a closed polygon whose
// sides are never farther than tolerance from it, in pixels. A straight
// outline is its own, in a new slice. The shape must pass Check, and tolerance
// be above 0.
func Outline(s Shape, tolerance float64) []Point {
	corners := s.chain(tolerance)
	out := make([]Point, len(corners))
	for i, c := range corners {
		out[i] = c.point()
	}
	if !s.Rounded {
		copy(out, s.Points)
	}
	return out
}

// outline returns the corners that are drawn, none the same as the next.
func (s Shape) outline() []spot { return s.corners(flatness) }

func (s Shape) corners(tolerance float64) []spot {
	var out []spot
	for _, c := range s.chain(tolerance) {
		if len(out) == 0 || out[len(out)-1] != c {
			out = append(out, c)
		}
	}
	for len(out) > 1 && out[0] == out[len(out)-1] {
		out = out[:len(out)-1]
	}
	return out
}

// chain returns the outline's corners on the grid. Whatever it computes comes
// from differences between grid points, so that it moves with them to the bit.
func (s Shape) chain(tolerance float64) []spot {
	spots := make([]spot, len(s.Points))
	for i, p := range s.Points {
		spots[i] = spotOf(p)
	}
	if !s.Rounded {
		return spots
	}
	var out []spot
	n := len(spots)
	for i := range spots {
		c := arcOf(spots[(i+n-1)%n], spots[i], spots[(i+1)%n], spots[(i+2)%n])
		out = append(out, spots[i])
		c.halve(0, 1, Point{}, c.end, tolerance, maxHalvings, func(p Point) {
			out = append(out, spot{spots[i].x + nearest(p.X*unit), spots[i].y + nearest(p.Y*unit)})
		})
	}
	return out
}

// An arc is the curve from one point, which is its origin, to the next: the
// cubic from 0 to end, in pixels, that starts with the slope from and arrives
// with the slope to, over u from 0 to 1.
type arc struct{ end, from, to Point }

// arcOf returns the centripetal Catmull-Rom arc from b to c, where a comes
// before and d after.
func arcOf(a, b, c, d spot) arc {
	before, along, after := difference(a, b), difference(b, c), difference(c, d)
	kb, k, ka := knot(before), knot(along), knot(after)
	return arc{along, slope(before, along, kb, k, k), slope(along, after, k, ka, k)}
}

func difference(a, b spot) Point { return b.minus(a).point() }

// knot returns how far the parameter goes over a chord: the root of its length.
func knot(chord Point) float64 { return math.Sqrt(length(chord)) }

// length returns the length of p, without the fused operations that
// math.Hypot has on some machines.
func length(p Point) float64 { return math.Sqrt(along(p, p)) }

// slope returns the slope between two chords p and q whose knots are kp and
// kq, for a parameter that runs to 1 while the knots run to scale: that of the
// parabola through the three points (Barry & Goldman's pyramid at its middle).
// Where two points coincide, the other chord leads.
func slope(p, q Point, kp, kq, scale float64) Point {
	switch {
	case kp == 0 && kq == 0:
		return Point{}
	case kp == 0:
		return q.times(scale / kq)
	case kq == 0:
		return p.times(scale / kp)
	}
	wp, wq := float64(scale*kq)/float64(kp*(kp+kq)), float64(scale*kp)/float64(kq*(kp+kq))
	return Point{float64(wp*p.X) + float64(wq*q.X), float64(wp*p.Y) + float64(wq*q.Y)}
}

func (p Point) times(k float64) Point { return Point{float64(p.X * k), float64(p.Y * k)} }

// at returns the arc's point at u.
func (c arc) at(u float64) Point {
	return Point{hermite(u, 0, c.from.X, c.end.X, c.to.X), hermite(u, 0, c.from.Y, c.end.Y, c.to.Y)}
}

// slopeAt returns the arc's slope at u.
func (c arc) slopeAt(u float64) Point {
	v := 1 - u
	k, from, to := 6*u*v, v*(1-float64(3*u)), u*(float64(3*u)-2)
	return Point{
		float64(k*c.end.X) + float64(from*c.from.X) + float64(to*c.to.X),
		float64(k*c.end.Y) + float64(from*c.from.Y) + float64(to*c.to.Y),
	}
}

// halve emits, in order, the places at which to cut the arc between u and v,
// where it is at p and q, so that its pieces are flat.
func (c arc) halve(u, v float64, p, q Point, tolerance float64, times int, emit func(Point)) {
	if times == 0 || c.bulge(u, v, Point{q.X - p.X, q.Y - p.Y}) <= tolerance {
		return
	}
	w := (u + v) / 2
	m := c.at(w)
	c.halve(u, w, p, m, tolerance, times-1, emit)
	emit(m)
	c.halve(w, v, m, q, tolerance, times-1, emit)
}

// bulge returns a bound on how far the arc from u to v leaves its chord. As a
// Bezier curve it stays between its two inner control points, and goes at most
// 3/4 of the farther one's way from the chord; where these are not in order
// along it, more than the chord's length is said.
func (c arc) bulge(u, v float64, chord Point) float64 {
	third := (v - u) / 3
	from, to := c.slopeAt(u).times(third), c.slopeAt(v).times(third)
	long := length(chord)
	ahead, back := along(chord, from), along(chord, to)
	if long == 0 || ahead < 0 || back < 0 || ahead+back > along(chord, chord) {
		return long + length(from) + length(to)
	}
	return 0.75 * max(math.Abs(across(chord, from)), math.Abs(across(chord, to))) / long
}

func along(p, q Point) float64  { return float64(p.X*q.X) + float64(p.Y*q.Y) }
func across(p, q Point) float64 { return float64(p.X*q.Y) - float64(p.Y*q.X) }
