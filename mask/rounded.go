package mask

import "math"

// How a curve becomes a chain of straight pieces: none leaves it by more than
// flatness, in pixels - under the step of an 8-bit matte - unless that takes
// more than maxPieces from one point to the next, which no curve inside an 8K
// picture does.
const (
	flatness  = 1.0 / 256
	maxPieces = 1024
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
func (s Shape) outline() []spot {
	var out []spot
	for _, c := range s.chain(flatness) {
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
		out = append(out, spots[i])
		c := arcOf(spots[(i+n-1)%n], spots[i], spots[(i+1)%n], spots[(i+2)%n])
		pieces := c.pieces(tolerance)
		for k := 1; k < pieces; k++ {
			p := c.at(float64(k) / float64(pieces))
			out = append(out, spot{spots[i].x + nearest(p.X*unit), spots[i].y + nearest(p.Y*unit)})
		}
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

// knot returns the step of the parameter over a chord: the root of its length.
func knot(chord Point) float64 { return math.Sqrt(length(chord)) }

// length returns the length of p, without the fused operations that
// math.Hypot has on some machines.
func length(p Point) float64 { return math.Sqrt(float64(p.X*p.X) + float64(p.Y*p.Y)) }

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

func (p Point) times(k float64) Point { return Point{p.X * k, p.Y * k} }

// at returns the arc's point at u.
func (c arc) at(u float64) Point {
	return Point{hermite(u, 0, c.from.X, c.end.X, c.to.X), hermite(u, 0, c.from.Y, c.end.Y, c.to.Y)}
}

// pieces returns into how many equal steps of u to cut the arc: a chord over a
// step h leaves a curve by at most h^2/8 of its largest second derivative,
// which a cubic has at an end.
func (c arc) pieces(tolerance float64) int {
	start := Point{6*c.end.X - 4*c.from.X - 2*c.to.X, 6*c.end.Y - 4*c.from.Y - 2*c.to.Y}
	stop := Point{6*c.end.X - 2*c.from.X - 4*c.to.X, 6*c.end.Y - 2*c.from.Y - 4*c.to.Y}
	bend := max(length(start), length(stop))
	return max(1, int(min(math.Ceil(math.Sqrt(bend/8/tolerance)), maxPieces)))
}
