package handles

import (
	"math"

	"halocline/app/ui/ink"
	"halocline/app/ui/viewer"
	"halocline/mask"
)

// PartKind is what a part of the handles is for.
type PartKind int

const (
	None PartKind = iota
	Vertex
	Edge         // the outline between two vertices
	InnerFeather // its handle
	OuterFeather
	Corner // of the box: scales
	Side   // of the box: stretches
	Turn   // the arc: rotates
	Centre // the cross: moves
	Inside // within what is filled, and no handle
)

// A Part is one thing that can be grabbed.
type Part struct {
	Kind  PartKind
	Index int     // of the vertex; of the edge after it; of corner and side, clockwise from the upper left and from the top
	U     float64 // how far along an edge, in (0,1)
}

// Sizes in the window's units.
const (
	vertexSize  = 9
	reach       = 8  // how near a press must be
	lineReach   = 6  // to a line
	boxMargin   = 16 // between outline and box
	turnAbove   = 26 // the arc above the box
	featherLead = 12 // between outline and the handle of a feather of 0
	elbow       = 10 // of a corner
)

// Handles are those of one shape as it stands on the screen.
type Handles struct {
	shape   mask.Shape
	vp      viewer.Viewport
	scale   float64
	chosen  int
	outline []ink.Pt // on the screen
	at      []int    // the outline's point at each vertex
	normals []ink.Pt // outward, one for each point of the outline
	box     ink.Rect // around the outline, with a margin
	anchor  int      // the outline's point that the feathers' handles stand on
}

// flatness is how far, in screen pixels, the drawn outline may be from the true
// one.
const flatness = 0.25

// Of returns the handles of a shape in a view. chosen is the vertex that is
// chosen, -1 for none.
func Of(s mask.Shape, vp viewer.Viewport, scale float64, chosen int) *Handles {
	h := &Handles{shape: s, vp: vp, scale: scale, chosen: chosen}
	if len(s.Points) < 3 || vp.Zoom <= 0 {
		return h
	}
	for _, p := range mask.Outline(s, flatness/vp.Zoom) {
		h.outline = append(h.outline, h.screen(p))
	}
	h.findVertices()
	h.findNormals()
	h.findBox()
	return h
}

func (h *Handles) screen(p mask.Point) ink.Pt {
	x, y := h.vp.ToScreen(p.X, p.Y)
	return ink.Pt{X: x, Y: y}
}

// findVertices finds the outline's point at each vertex: it passes through them
// in their order.
func (h *Handles) findVertices() {
	h.at = make([]int, len(h.shape.Points))
	from := 0
	for i, p := range h.shape.Points {
		v := h.screen(p)
		best := from
		for k := from; k < len(h.outline); k++ {
			if d := away(h.outline[k], v); d < away(h.outline[best], v) {
				best = k
				if d < 1e-6 {
					break
				}
			}
		}
		h.at[i] = best
		from = best
	}
	side := h.longestSide()
	a, b := h.at[side], h.nextAt(side)
	h.anchor = ((a + b) / 2) % max(len(h.outline), 1)
	if b-a < 2 { // a straight side: stand on a point of its own in its middle
		h.split(a, b)
	}
}

// nextAt is the outline's point at the vertex after one, counted on past the
// end.
func (h *Handles) nextAt(i int) int {
	if i+1 < len(h.at) {
		return h.at[i+1]
	}
	return h.at[0] + len(h.outline)
}

// split puts a point in the middle of a straight side of the outline.
func (h *Handles) split(a, b int) {
	p, q := h.outline[a%len(h.outline)], h.outline[b%len(h.outline)]
	mid := ink.Pt{X: (p.X + q.X) / 2, Y: (p.Y + q.Y) / 2}
	at := a + 1
	h.outline = append(h.outline[:at:at], append([]ink.Pt{mid}, h.outline[at:]...)...)
	for i := range h.at {
		if h.at[i] >= at {
			h.at[i]++
		}
	}
	h.anchor = at
}

func (h *Handles) longestSide() int {
	best, longest := 0, -1.0
	for i, p := range h.shape.Points {
		q := h.shape.Points[(i+1)%len(h.shape.Points)]
		if d := math.Hypot(q.X-p.X, q.Y-p.Y); d > longest {
			best, longest = i, d
		}
	}
	return best
}

// findNormals finds, at each point of the outline, the direction away from what
// is filled: for an outline that crosses itself, from most of it.
func (h *Handles) findNormals() {
	n := len(h.outline)
	turn := 1.0
	if signedArea(h.outline) < 0 {
		turn = -1
	}
	h.normals = make([]ink.Pt, n)
	for i := range n {
		a, b := h.outline[(i+n-1)%n], h.outline[(i+1)%n]
		dx, dy := b.X-a.X, b.Y-a.Y
		if l := math.Hypot(dx, dy); l > 0 {
			h.normals[i] = ink.Pt{X: turn * dy / l, Y: -turn * dx / l}
		}
	}
}

// signedArea is twice the shoelace area; positive for an outline that runs
// clockwise on the screen.
func signedArea(p []ink.Pt) (sum float64) {
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += a.X*b.Y - b.X*a.Y
	}
	return sum
}

func (h *Handles) findBox() {
	low, high := h.outline[0], h.outline[0]
	for _, p := range h.outline {
		low.X, low.Y, high.X, high.Y = min(low.X, p.X), min(low.Y, p.Y), max(high.X, p.X), max(high.Y, p.Y)
	}
	m := boxMargin * h.scale
	h.box = ink.Rect{X0: low.X - m, Y0: low.Y - m, X1: high.X + m, Y1: high.Y + m}
}

func (h *Handles) middle() ink.Pt {
	return ink.Pt{X: (h.box.X0 + h.box.X1) / 2, Y: (h.box.Y0 + h.box.Y1) / 2}
}

// corners are the box's, clockwise from the upper left.
func (h *Handles) corners() [4]ink.Pt {
	b := h.box
	return [4]ink.Pt{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1, Y: b.Y1}, {X: b.X0, Y: b.Y1}}
}

func (h *Handles) turnAt() ink.Pt {
	return ink.Pt{X: h.middle().X, Y: h.box.Y0 - turnAbove*h.scale}
}

// featherAt is where the handle of a feather stands.
func (h *Handles) featherAt(k PartKind) ink.Pt {
	p, n := h.outline[h.anchor], h.normals[h.anchor]
	d := featherLead*h.scale + h.shape.Outer*h.vp.Zoom
	if k == InnerFeather {
		d = -(featherLead*h.scale + h.shape.Inner*h.vp.Zoom)
	}
	return ink.Pt{X: p.X + d*n.X, Y: p.Y + d*n.Y}
}

// Place returns where on the screen a handle stands that a shape has once:
// InnerFeather, OuterFeather, Turn or Centre. ok is false for any other.
func (h *Handles) Place(k PartKind) (at ink.Pt, ok bool) {
	if len(h.outline) == 0 {
		return at, false
	}
	switch k {
	case InnerFeather, OuterFeather:
		return h.featherAt(k), true
	case Turn:
		return h.turnAt(), true
	case Centre:
		return h.middle(), true
	}
	return at, false
}

// Hit returns what is at a point of the screen.
func (h *Handles) Hit(sx, sy float64) Part {
	p := ink.Pt{X: sx, Y: sy}
	if len(h.outline) == 0 {
		return Part{}
	}
	if i, d := nearest(p, h.vertices()); d <= reach*h.scale {
		return Part{Kind: Vertex, Index: i}
	}
	for _, k := range []PartKind{OuterFeather, InnerFeather, Turn, Centre} {
		if at, _ := h.Place(k); away(at, p) <= reach*h.scale {
			return Part{Kind: k}
		}
	}
	corners := h.corners()
	if i, d := nearest(p, corners[:]); d <= reach*h.scale {
		return Part{Kind: Corner, Index: i}
	}
	if part := h.hitEdge(p); part.Kind != None {
		return part
	}
	for i := range corners {
		if d, _ := toSegment(p, corners[i], corners[(i+1)%4]); d <= lineReach*h.scale {
			return Part{Kind: Side, Index: i}
		}
	}
	if winding(h.outline, p) != 0 {
		return Part{Kind: Inside}
	}
	return Part{}
}

func (h *Handles) vertices() []ink.Pt {
	out := make([]ink.Pt, len(h.shape.Points))
	for i, p := range h.shape.Points {
		out[i] = h.screen(p)
	}
	return out
}

// hitEdge finds the side of the shape whose line is near a point.
func (h *Handles) hitEdge(p ink.Pt) Part {
	n := len(h.outline)
	best, bestU, least := -1, 0.0, lineReach*h.scale
	for i := range n {
		if d, u := toSegment(p, h.outline[i], h.outline[(i+1)%n]); d <= least {
			best, bestU, least = i, u, d
		}
	}
	if best < 0 {
		return Part{}
	}
	for side := range h.at {
		a, b := h.at[side], h.nextAt(side)
		k := best
		if k < a {
			k += n
		}
		if k < a || k >= b {
			continue
		}
		before, whole := 0.0, 0.0
		for j := a; j < b; j++ {
			l := away(h.outline[j%n], h.outline[(j+1)%n])
			whole += l
			if j < k {
				before += l
			} else if j == k {
				before += bestU * l
			}
		}
		return Part{Kind: Edge, Index: side, U: max(0.02, min(0.98, before/max(whole, 1e-9)))}
	}
	return Part{}
}

func away(a, b ink.Pt) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

func nearest(p ink.Pt, of []ink.Pt) (index int, distance float64) {
	distance = math.Inf(1)
	for i, q := range of {
		if d := away(p, q); d < distance {
			index, distance = i, d
		}
	}
	return index, distance
}

// toSegment is how far a point is from a segment, and where on it the nearest
// point lies.
func toSegment(p, a, b ink.Pt) (distance, u float64) {
	dx, dy := b.X-a.X, b.Y-a.Y
	if l := dx*dx + dy*dy; l > 0 {
		u = max(0, min(1, ((p.X-a.X)*dx+(p.Y-a.Y)*dy)/l))
	}
	return math.Hypot(p.X-a.X-u*dx, p.Y-a.Y-u*dy), u
}

// winding is how often an outline winds around a point.
func winding(outline []ink.Pt, p ink.Pt) (n int) {
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		cross := (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)
		switch {
		case a.Y <= p.Y && b.Y > p.Y && cross > 0:
			n++
		case a.Y > p.Y && b.Y <= p.Y && cross < 0:
			n--
		}
	}
	return n
}
