package handles

import (
	"math"

	"halocline/mask"
)

// A Pull is a drag of one part. It keeps what it needs of the shape as that was
// when it was grabbed: every Change it gives is of that shape.
type Pull struct {
	part    Part
	points  int        // of the shape
	from    mask.Point // where it was grabbed, source pixels
	box     box
	out     mask.Point // away from what is filled, where the feathers' handles stand
	feather travel
	along   []share // of a vertex: what moves with it, itself too
}

// Grab begins a drag of a part, pressed at a place in source pixels.
func (h *Handles) Grab(p Part, x, y float64) *Pull {
	pull := &Pull{part: p, points: len(h.points), from: mask.Point{X: x, Y: y}, box: h.box, out: mask.Point(h.stand.out)}
	if h.empty() {
		pull.part = Part{}
		return pull
	}
	lead := featherLead * h.scale / h.vp.Zoom
	switch p.Kind {
	case Vertex:
		pull.along = h.goAlong(p.Index)
	case InnerFeather:
		pull.feather = travelFrom(h.shape.Inner, lead)
		pull.out.X, pull.out.Y = -pull.out.X, -pull.out.Y
	case OuterFeather:
		pull.feather = travelFrom(h.shape.Outer, lead)
	}
	return pull
}

// farthest is the longest drag, in source pixels: no picture is as large.
const farthest = 1e6

// To returns what the drag has come to at a place in source pixels: nothing
// where that is no number. With steady, a corner keeps the proportions, and the
// arc turns by multiples of 15 degrees.
func (p *Pull) To(x, y float64, steady bool) Change {
	d := mask.Point{X: within(x-p.from.X, farthest), Y: within(y-p.from.Y, farthest)}
	if math.IsNaN(d.X) || math.IsNaN(d.Y) {
		return Change{}
	}
	c := Change{kind: p.part.Kind, index: p.part.Index, along: p.along, points: p.points}
	switch p.part.Kind {
	case Vertex, Edge, Centre, Inside:
		c.move = d
	case InnerFeather, OuterFeather:
		c.by = p.feather.to(d.X*p.out.X+d.Y*p.out.Y) - p.feather.start
	case Turn:
		c.about = p.box.centre()
		c.degrees = turned(p.from, mask.Point{X: p.from.X + d.X, Y: p.from.Y + d.Y}, c.about)
		if steady {
			const turn = 15
			c.degrees = math.Round(c.degrees/turn) * turn
		}
	case Corner, Side:
		c.about, c.factor = p.scale(d, steady)
	}
	return c
}

func within(v, limit float64) float64 { return min(max(v, -limit), limit) }

// turned is the turn about a middle that leads from one place to another, in
// degrees from the x axis toward the y axis.
func turned(from, to, middle mask.Point) float64 {
	a := math.Atan2(to.Y-middle.Y, to.X-middle.X) - math.Atan2(from.Y-middle.Y, from.X-middle.X)
	return math.Remainder(a*180/math.Pi, 360)
}

// scale returns what a drag of a corner or a side by d does: the opposite one
// stays.
func (p *Pull) scale(d mask.Point, steady bool) (about, factor mask.Point) {
	moved, along, down := p.part.Index, true, true
	if p.part.Kind == Side { // as its first corner, one way only
		along, down = p.part.Index%2 == 1, p.part.Index%2 == 0
	}
	about, way := p.box.across((moved + 2) % 4)
	if steady && p.part.Kind == Corner {
		long := math.Hypot(way.X, way.Y)
		f := stretch(long, (d.X*way.X+d.Y*way.Y)/long)
		return about, mask.Point{X: f, Y: f}
	}
	factor = mask.Point{X: 1, Y: 1}
	if along {
		factor.X = stretch(way.X, d.X)
	}
	if down {
		factor.Y = stretch(way.Y, d.Y)
	}
	return about, factor
}

// Bounds of a box that is pulled, in source pixels.
const (
	flat  = 1e-4 // it has no extent that could grow
	least = 1    // it does not get smaller
)

// stretch is the factor that makes a length, of either sign, longer by a drag.
// It does not pass through 0, from where nothing would lead back.
func stretch(length, by float64) float64 {
	size := math.Abs(length)
	if size < flat {
		return 1
	}
	return min(max((length+by)/length, min(least/size, 1)), max(farthest/size, 1))
}

// A travel is how a feather follows its handle. A handle whose feather ends
// nearer to the outline than the lead stands at the lead: from there it takes
// the feather along at once, and has it under itself one lead farther on.
type travel struct{ start, grip, lead float64 } // source pixels

func travelFrom(feather, lead float64) travel {
	return travel{feather, max(feather, lead), lead}
}

// to returns the feather when the handle has moved outward by a distance.
func (t travel) to(by float64) float64 {
	at := t.grip + by
	switch {
	case by == 0:
		return t.start
	case at <= 0:
		return 0
	case by < 0:
		return t.start * at / t.grip
	case by < t.lead:
		return t.start + by*(t.grip+t.lead-t.start)/t.lead
	}
	return at
}
