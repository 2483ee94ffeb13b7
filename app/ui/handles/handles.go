package handles

import (
	"math"

	"halocline/app/ink"
	"halocline/app/view"
	"halocline/mask"
)

// PartKind is what a part of the handles is for.
type PartKind int

const (
	None         PartKind = iota
	Vertex                // moves
	Edge                  // the outline between two vertices: moves both
	InnerFeather          // its handle
	OuterFeather          //
	Corner                // of the box: scales
	Side                  // of the box: stretches
	Turn                  // the arc: rotates
	Centre                // the cross: moves all
	Inside                // what is filled, where there is no handle
)

// A Part is one thing that can be grabbed.
type Part struct {
	Kind PartKind
	// Index counts from 0: a vertex; an edge by the vertex before it; a corner
	// clockwise from the upper left; a side clockwise from the top.
	Index int
	U     float64 // where on an edge: what mask.Track.InsertPoint takes
}

// Sizes in Fyne's units.
const (
	vertexSize  = 9
	vertexReach = 8  // how near a press must be
	gripReach   = 9  // to a round handle, the arc, the cross
	lineReach   = 6  // to a line
	boxMargin   = 20 // between outline and box
	elbow       = 12 // of a corner, each way
	turnAbove   = 24 // the arc's middle above the box
	crossArm    = 9
	featherLead = 12 // the least between the outline and a feather's handle
)

// flatness is how far, in screen pixels, what is drawn may be from the true
// outline.
const flatness = 0.25

// Handles are those of one shape as it stands on the screen.
type Handles struct {
	shape   mask.Shape
	vp      view.Viewport
	scale   float64
	chosen  []int    // vertices
	points  []ink.Pt // the vertices; none where there are no handles
	outline []ink.Pt
	first   []int // of each vertex and, once more, the first: where in the outline it is
	box     box
	stand   stand // of the feathers' handles
	found   *edge // that the feathers are about; nil: the outline
}

// Of returns the handles of a shape in a view. No vertex is chosen.
func Of(s mask.Shape, vp view.Viewport, scale float64) *Handles {
	h := &Handles{shape: s, vp: vp, scale: scale}
	if s.Check() != nil || !(vp.Zoom > 0) || !(scale > 0) {
		return h
	}
	for _, p := range s.Points {
		h.points = append(h.points, h.screen(p))
	}
	outline := mask.Outline(s, flatness/vp.Zoom)
	for _, p := range outline {
		h.outline = append(h.outline, h.screen(p))
	}
	h.first = findVertices(s.Points, outline)
	h.box = h.boxAround(outline)
	h.stand = h.findStand()
	return h
}

// empty reports whether there is nothing to draw or hit.
func (h *Handles) empty() bool { return len(h.points) == 0 }

func (h *Handles) screen(p mask.Point) ink.Pt {
	x, y := h.vp.ToScreen(p.X, p.Y)
	return ink.Pt{X: x, Y: y}
}

// Place returns where on the screen a handle stands that a shape has once:
// InnerFeather, OuterFeather, Turn or Centre. ok is false for any other.
func (h *Handles) Place(k PartKind) (at ink.Pt, ok bool) {
	if h.empty() {
		return at, false
	}
	switch k {
	case InnerFeather, OuterFeather:
		return h.featherAt(k), true
	case Turn:
		return h.turnAt(), true
	case Centre:
		return h.screen(h.box.centre()), true
	}
	return at, false
}

func away(a, b ink.Pt) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// beyond is the place at a distance from p in a direction.
func beyond(p, direction ink.Pt, distance float64) ink.Pt {
	return ink.Pt{X: p.X + distance*direction.X, Y: p.Y + distance*direction.Y}
}
