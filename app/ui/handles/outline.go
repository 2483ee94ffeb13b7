package handles

import (
	"math"

	"halocline/app/ink"
	"halocline/mask"
)

// findVertices returns where in an outline each vertex is, and the outline's
// length: the outline passes through them in their order.
func findVertices(points, outline []mask.Point) []int {
	first := make([]int, len(points)+1)
	at := 0
	for i, p := range points {
		for at < len(outline)-(len(points)-i) && !same(outline[at], p) {
			at++
		}
		first[i] = at
		at++
	}
	first[len(points)] = len(outline)
	return first
}

// same reports whether a place of an outline is a vertex: outlines are rounded
// to 1/65536 of a pixel.
func same(a, b mask.Point) bool {
	const grid = 1.0 / 65536
	return math.Abs(a.X-b.X) < grid && math.Abs(a.Y-b.Y) < grid
}

// sideOf returns the vertex before a piece of the outline, which is named by
// its first point.
func (h *Handles) sideOf(piece int) int {
	side := 0
	for side+1 < len(h.points) && h.first[side+1] <= piece {
		side++
	}
	return side
}

// onEdge returns where on an edge the place nearest to p is.
func (h *Handles) onEdge(side int, p ink.Pt) float64 {
	const samples = 32
	distance := func(u float64) float64 { return away(h.screen(h.shape.OnSide(side, u)), p) }
	best := 0.0
	for i := range samples + 1 {
		if u := float64(i) / samples; distance(u) < distance(best) {
			best = u
		}
	}
	low, high := max(best-1.0/samples, 0), min(best+1.0/samples, 1)
	for range 24 { // (2/3)^24 of 1/16: under a pixel of any side
		third := (high - low) / 3
		if distance(low+third) < distance(high-third) {
			high -= third
		} else {
			low += third
		}
	}
	const margin = 0.01 // a new vertex must not lie on one that is there
	return min(max((low+high)/2, margin), 1-margin)
}

// A stand is a place on the outline and the direction, of length 1, that leads
// from there out of what is filled.
type stand struct{ at, out ink.Pt }

// probe is how far beside the outline, in screen pixels, it is asked what is
// filled: more than its flatness.
const probe = 1

// findStand finds where the feathers' handles stand: on the first side that is
// an edge of what is filled there, so that they stay while other sides move. It
// is not amid the side, where the arc often is above it and the cross below.
// Sides of an outline that crosses itself may be edges near their ends alone.
func (h *Handles) findStand() stand {
	backup, found := stand{h.points[0], ink.Pt{X: 1}}, false
	for _, u := range []float64{1.0 / 3, 2.0 / 3, 0.1, 0.9} {
		for side := range h.points {
			s, ok := h.on(side, u)
			if !ok {
				continue
			}
			if h.fills(beyond(s.at, s.out, probe)) {
				s.out = ink.Pt{X: -s.out.X, Y: -s.out.Y}
			}
			if !h.fills(beyond(s.at, s.out, probe)) && h.fills(beyond(s.at, s.out, -probe)) {
				return s
			}
			if !found {
				backup, found = s, true
			}
		}
	}
	return backup
}

// on returns a place on a side and a direction across it.
func (h *Handles) on(side int, u float64) (s stand, ok bool) {
	const by = 1.0 / 32
	a, b := h.shape.OnSide(side, u-by), h.shape.OnSide(side, u+by)
	dx, dy := b.X-a.X, b.Y-a.Y
	l := math.Hypot(dx, dy)
	if l < 1e-3 { // the grid of 1/65536 px would show
		return s, false
	}
	return stand{h.screen(h.shape.OnSide(side, u)), ink.Pt{X: dy / l, Y: -dx / l}}, true
}

// fills reports whether the shape fills a place on the screen: its outline winds
// around it.
func (h *Handles) fills(p ink.Pt) bool {
	turns := 0
	for i, a := range h.outline {
		b := h.outline[(i+1)%len(h.outline)]
		if (a.Y <= p.Y) == (b.Y <= p.Y) {
			continue
		}
		side := (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)
		switch {
		case a.Y <= p.Y && side > 0:
			turns++
		case a.Y > p.Y && side < 0:
			turns--
		}
	}
	return turns != 0
}

// featherAt returns where the handle of a feather stands: where the feather
// ends, or a little off the outline where that is nearer.
func (h *Handles) featherAt(k PartKind) ink.Pt {
	lead := featherLead * h.scale
	if k == InnerFeather {
		return beyond(h.stand.at, h.stand.out, -max(h.shape.Inner*h.vp.Zoom, lead))
	}
	return beyond(h.stand.at, h.stand.out, max(h.shape.Outer*h.vp.Zoom, lead))
}
