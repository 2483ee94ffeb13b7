package handles

import (
	"math"

	"halocline/mask"
)

// A Pull is a drag of one part. It knows the shape as it was when it was
// grabbed, so that a Change it gives is of that shape.
type Pull struct {
	shape        mask.Shape
	part         Part
	x, y         float64 // where it was grabbed, in source pixels
	low, high    mask.Point
	nx, ny       float64 // outward, where the feathers' handles stand
	centre, from mask.Point
}

// Grab begins a drag of a part, pressed at a place in source pixels.
func (h *Handles) Grab(p Part, x, y float64) *Pull {
	pull := &Pull{shape: h.shape, part: p, x: x, y: y, from: mask.Point{X: x, Y: y}}
	if len(h.normals) > 0 {
		pull.nx, pull.ny = h.normals[h.anchor].X, h.normals[h.anchor].Y
		pull.low.X, pull.low.Y = h.vp.ToPicture(h.box.X0, h.box.Y0)
		pull.high.X, pull.high.Y = h.vp.ToPicture(h.box.X1, h.box.Y1)
	}
	pull.centre = mask.Point{X: (pull.low.X + pull.high.X) / 2, Y: (pull.low.Y + pull.high.Y) / 2}
	return pull
}

// To returns what the drag has come to at a place in source pixels. With steady,
// a corner keeps the proportions and the arc turns by steps of 15 degrees.
func (p *Pull) To(x, y float64, steady bool) Change {
	dx, dy := x-p.x, y-p.y
	c := Change{kind: p.part.Kind, index: p.part.Index, dx: dx, dy: dy, inner: p.shape.Inner, outer: p.shape.Outer, n: len(p.shape.Points)}
	switch p.part.Kind {
	case InnerFeather:
		c.inner = max(0, p.shape.Inner-(dx*p.nx+dy*p.ny))
	case OuterFeather:
		c.outer = max(0, p.shape.Outer+dx*p.nx+dy*p.ny)
	case Turn:
		c.about = p.centre
		c.degrees = turned(p.from, mask.Point{X: x, Y: y}, p.centre)
		if steady {
			c.degrees = math.Round(c.degrees/15) * 15
		}
	case Corner:
		c.about, c.sx, c.sy = p.scale(dx, dy, steady)
	case Side:
		c.about, c.sx, c.sy = p.stretch(dx, dy)
	}
	return c
}

// turned is the angle at the middle from one place to another, in degrees from
// the x axis toward the y axis.
func turned(from, to, middle mask.Point) float64 {
	a := math.Atan2(to.Y-middle.Y, to.X-middle.X) - math.Atan2(from.Y-middle.Y, from.X-middle.X)
	return math.Remainder(a*180/math.Pi, 360)
}

// leastScale keeps a shape from being squeezed to nothing, from which no drag
// would bring it back.
const leastScale = 0.02

// scale is what a drag of a corner does: the opposite corner stays.
func (p *Pull) scale(dx, dy float64, steady bool) (about mask.Point, sx, sy float64) {
	about = p.high
	w, h := p.low.X-p.high.X, p.low.Y-p.high.Y // from the fixed corner to the dragged one
	if p.part.Index == 1 || p.part.Index == 2 {
		about.X, w = p.low.X, -w
	}
	if p.part.Index >= 2 {
		about.Y, h = p.low.Y, -h
	}
	sx, sy = max(leastScale, (w+dx)/w), max(leastScale, (h+dy)/h)
	if steady {
		s := math.Sqrt(sx * sy)
		sx, sy = s, s
	}
	return about, sx, sy
}

// stretch is what a drag of a side does: the opposite side stays.
func (p *Pull) stretch(dx, dy float64) (about mask.Point, sx, sy float64) {
	w, h := p.high.X-p.low.X, p.high.Y-p.low.Y
	switch p.part.Index {
	case 0:
		return p.high, 1, max(leastScale, (h-dy)/h)
	case 1:
		return p.low, max(leastScale, (w+dx)/w), 1
	case 2:
		return p.low, 1, max(leastScale, (h+dy)/h)
	}
	return p.high, max(leastScale, (w-dx)/w), 1
}

// A Change is what a drag or a key does to a mask.
type Change struct {
	kind         PartKind
	index, n     int
	dx, dy       float64
	about        mask.Point
	degrees      float64
	sx, sy       float64
	inner, outer float64
}

// Nudge moves a vertex, or the whole shape for -1, by source pixels.
func Nudge(vertex int, dx, dy float64) Change {
	if vertex < 0 {
		return Change{kind: Centre, dx: dx, dy: dy}
	}
	return Change{kind: Vertex, index: vertex, dx: dx, dy: dy}
}

// Apply does it to a track at a frame, in the keys within reach.
func (c Change) Apply(t *mask.Track, frame int, reach mask.Reach) error {
	switch c.kind {
	case Vertex:
		return t.MovePoint(frame, reach, c.index, c.dx, c.dy)
	case Edge:
		if err := t.MovePoint(frame, reach, c.index, c.dx, c.dy); err != nil {
			return err
		}
		return t.MovePoint(frame, reach, (c.index+1)%c.n, c.dx, c.dy)
	case Centre:
		t.Move(frame, reach, c.dx, c.dy)
	case Turn:
		t.Turn(frame, reach, c.about, c.degrees)
	case Corner, Side:
		t.Scale(frame, reach, c.about, c.sx, c.sy)
	case InnerFeather, OuterFeather:
		t.Change(frame, reach, func(k *mask.Key) { k.Inner, k.Outer = c.inner, c.outer })
	}
	return nil
}
