package scene

import "math"

// A shapeKind names the solid a shape is.
type shapeKind int

const (
	taper     shapeKind = iota // two balls and the cone about them
	ellipsoid                  // half axes in half
	block                      // half sides in half, edges rounded by r1
	disc                       // axis y, radius half.X, half height half.Y, edges rounded by r1
)

// A shape is one solid of the figure. It melts into those before it over blend
// metres; 0 keeps a sharp seam.
type shape struct {
	kind   shapeKind
	mat    material
	blend  float64
	a, b   vec // ends of a taper; a is the centre of the others
	r1, r2 float64
	axes   frame3
	half   vec
	grain  float64 // a number of its own, for texture

	span         vec // b - a, and what follows from it
	l2, drop, a2 float64
	inv          float64
	middle       vec
	bound        float64
}

// cone returns a taper from a, radius r1, to b, radius r2.
func cone(mat material, a, b vec, r1, r2, blend float64) shape {
	s := shape{kind: taper, mat: mat, a: a, b: b, r1: r1, r2: r2, blend: blend}
	s.span = b.sub(a)
	s.l2 = s.span.dot(s.span)
	s.drop = r1 - r2
	s.a2 = s.l2 - s.drop*s.drop
	s.inv = 1 / s.l2
	s.middle = a.mix(b, 0.5)
	s.bound = math.Sqrt(s.l2)/2 + max(r1, r2)
	s.axes = frameAlong(s.span.unit())
	return s
}

// solid returns one of the shapes that have a centre and axes.
func solid(kind shapeKind, mat material, at vec, axes frame3, half vec, round, blend float64) shape {
	return shape{
		kind: kind, mat: mat, a: at, b: at, axes: axes, half: half, r1: round, blend: blend,
		middle: at, bound: half.length() + round,
	}
}

// frameAlong returns axes of which y is d.
func frameAlong(d vec) frame3 {
	x := vec{0, 1, 0}.cross(d)
	if x.dot(x) < 1e-6 {
		x = vec{1, 0, 0}
	}
	x = x.unit()
	return frame3{x, d, x.cross(d)}
}

// distance returns how far p is from the shape's skin; negative inside. It may
// fall short for ellipsoids, never by sign.
func (s *shape) distance(p vec) float64 {
	q := p.sub(s.a)
	switch s.kind {
	case taper:
		return s.taperDistance(q)
	case ellipsoid:
		q = s.axes.local(q)
		u := vec{q.X / s.half.X, q.Y / s.half.Y, q.Z / s.half.Z}
		v := vec{u.X / s.half.X, u.Y / s.half.Y, u.Z / s.half.Z}
		k := u.length()
		return k * (k - 1) / max(v.length(), 1e-9)
	case block:
		q = s.axes.local(q)
		o := vec{math.Abs(q.X) - s.half.X, math.Abs(q.Y) - s.half.Y, math.Abs(q.Z) - s.half.Z}
		inside := min(max(o.X, o.Y, o.Z), 0)
		return vec{max(o.X, 0), max(o.Y, 0), max(o.Z, 0)}.length() + inside - s.r1
	default:
		q = s.axes.local(q)
		r, y := math.Hypot(q.X, q.Z)-s.half.X, math.Abs(q.Y)-s.half.Y
		return math.Hypot(max(r, 0), max(y, 0)) + min(max(r, y), 0) - s.r1
	}
}

// taperDistance is the exact distance to a cone with round ends: whichever of
// the two balls or the flank is nearest along the flank's normal.
func (s *shape) taperDistance(q vec) float64 {
	y := q.dot(s.span)
	z := y - s.l2
	x := q.mul(s.l2).sub(s.span.mul(y))
	x2 := x.dot(x)
	y2, z2 := y*y*s.l2, z*z*s.l2
	k := s.drop * s.drop * x2
	if s.drop < 0 {
		k = -k
	}
	switch {
	case signed(z, s.a2*z2) > k:
		return math.Sqrt(x2+z2)*s.inv - s.r2
	case signed(y, s.a2*y2) < k:
		return math.Sqrt(x2+y2)*s.inv - s.r1
	}
	return (math.Sqrt(x2*s.a2*s.inv)+y*s.drop)*s.inv - s.r1
}

// signed returns v with the sign of s.
func signed(s, v float64) float64 {
	if s < 0 {
		return -v
	}
	return v
}

// tie is the difference, in metres, under which two solids are equally near: the
// balls where two tapers meet are the same ball, and the first one has it, not
// whichever a last bit favours.
const tie = 1e-7

// A ball is a shape's bounding ball and what else is asked first of it, packed so
// that a list of them is read in one go.
type ball struct {
	middle       vec
	bound, blend float64
	shape        int
}

// union returns the distance to the listed shapes melted together, and which
// of them is nearest.
func union(shapes []shape, list []ball, p vec) (d float64, nearest int) {
	d, nearest = math.Inf(1), -1
	least := math.Inf(1)
	for i := range list {
		b := &list[i]
		// One whose bounding ball lies too far off can change nothing.
		far := d + b.blend
		if far < least {
			far = least
		}
		far += b.bound
		q := p.sub(b.middle)
		if q.dot(q) > far*far {
			continue
		}
		e := shapes[b.shape].distance(p)
		if e < least-tie {
			least, nearest = e, b.shape
		}
		apart := math.Abs(d - e)
		if e < d {
			d = e
		}
		if k := b.blend; apart < k {
			h := 1 - apart/k
			d -= h * h * k / 4
		}
	}
	return d, nearest
}
