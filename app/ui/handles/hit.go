package handles

import (
	"math"

	"halocline/app/ink"
)

// Hit returns what is at a point of the screen. Of several it is a vertex, a
// feather's handle, a corner of the box, the arc, the cross, the outline, a side
// of the box, the inside, in this order. By a found edge, where the outline's vertices
// come in the way of the feathers' handles, the nearer of the two counts.
func (h *Handles) Hit(sx, sy float64) Part {
	p := ink.Pt{X: sx, Y: sy}
	if h.empty() {
		return Part{}
	}
	feather := h.grip(p, InnerFeather, OuterFeather)
	if i, d := nearest(p, h.points); d <= vertexReach*h.scale && !h.featherNearer(feather, p, d) {
		return Part{Kind: Vertex, Index: i}
	}
	if feather != None {
		return Part{Kind: feather}
	}
	if i, d := nearest(p, h.corners()); d <= gripReach*h.scale {
		return Part{Kind: Corner, Index: i}
	}
	if k := h.grip(p, Turn, Centre); k != None {
		return Part{Kind: k}
	}
	if part, ok := h.edge(p); ok {
		return part
	}
	if i, ok := h.side(p); ok {
		return Part{Kind: Side, Index: i}
	}
	if h.fills(p) {
		return Part{Kind: Inside}
	}
	return Part{}
}

// Covers reports whether a point of the screen is on the outline or within what
// it fills: it chooses a mask that has no handles yet.
func (h *Handles) Covers(sx, sy float64) bool {
	if h.empty() {
		return false
	}
	p := ink.Pt{X: sx, Y: sy}
	_, d := chain(p, h.outline)
	return d <= lineReach*h.scale || h.fills(p)
}

// grip returns which of some handles is at p.
func (h *Handles) grip(p ink.Pt, kinds ...PartKind) PartKind {
	for _, k := range kinds {
		if at, _ := h.Place(k); away(at, p) <= gripReach*h.scale {
			return k
		}
	}
	return None
}

// featherNearer reports whether a feather's handle that stands by a found edge is nearer to p
// than a distance.
func (h *Handles) featherNearer(k PartKind, p ink.Pt, distance float64) bool {
	at, ok := h.Place(k)
	return ok && h.found != nil && away(at, p) < distance
}

// edge finds the edge that passes by p.
func (h *Handles) edge(p ink.Pt) (Part, bool) {
	piece, d := chain(p, h.outline)
	if d > lineReach*h.scale {
		return Part{}, false
	}
	side := h.sideOf(piece)
	return Part{Kind: Edge, Index: side, U: h.onEdge(side, p)}, true
}

// side finds the side of the box that passes by p.
func (h *Handles) side(p ink.Pt) (int, bool) {
	i, d := chain(p, h.corners())
	return i, d <= lineReach*h.scale
}

// nearest returns which of some places is nearest to p, and how far it is.
func nearest(p ink.Pt, of []ink.Pt) (index int, distance float64) {
	distance = math.Inf(1)
	for i, q := range of {
		if d := away(p, q); d < distance {
			index, distance = i, d
		}
	}
	return index, distance
}

// chain returns which piece of a closed chain, named by its first point, is
// nearest to p, and how far it is.
func chain(p ink.Pt, of []ink.Pt) (index int, distance float64) {
	least := math.Inf(1)
	for i, a := range of {
		if d := squareTo(p, a, of[(i+1)%len(of)]); d < least {
			index, least = i, d
		}
	}
	return index, math.Sqrt(least)
}

// squareTo returns the square of the distance of p from the straight piece from
// a to b.
func squareTo(p, a, b ink.Pt) float64 {
	q := nearestOn(p, a, b)
	x, y := p.X-q.X, p.Y-q.Y
	return x*x + y*y
}

// nearestOn is the place nearest to p of the straight piece from a to b.
func nearestOn(p, a, b ink.Pt) ink.Pt {
	dx, dy := b.X-a.X, b.Y-a.Y
	if l := dx*dx + dy*dy; l > 0 {
		u := min(max(((p.X-a.X)*dx+(p.Y-a.Y)*dy)/l, 0), 1)
		return ink.Pt{X: a.X + u*dx, Y: a.Y + u*dy}
	}
	return a
}
