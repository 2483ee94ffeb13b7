package handles

import (
	"image"
	"math"
	"slices"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/mask"
)

// What of a shape goes along with a vertex that is dragged.

// A share is how much of a drag a vertex makes, in [0,1].
type share struct {
	vertex int
	of     float64
}

// Choose sets which vertices are chosen, counted from 0.
func (h *Handles) Choose(vertices ...int) { h.chosen = vertices }

// GrabSoft is Grab, but of a vertex: its neighbours go along, the less of the way the farther
// from it they lie on the outline.
func (h *Handles) GrabSoft(p Part, x, y float64) *Pull {
	pull := h.Grab(p, x, y)
	if p.Kind == Vertex && p.Index >= 0 && p.Index < len(h.points) {
		pull.along = h.neighbours(p.Index)
	}
	return pull
}

// softReach is how far along the outline neighbours go along, in Fyne's units.
const softReach = 64

// neighbours are a vertex and those near it on the outline.
func (h *Handles) neighbours(vertex int) []share {
	lengths := h.lengths()
	all, reach := lengths[len(h.points)], softReach*h.scale
	var out []share
	for i := range h.points {
		d := math.Abs(lengths[i] - lengths[vertex])
		if d = min(d, all-d); i == vertex || d < reach {
			out = append(out, share{i, (1 + math.Cos(math.Pi*d/reach)) / 2})
		}
	}
	return out
}

// lengths are how long the outline is on the screen up to each vertex, and all of it.
func (h *Handles) lengths() []float64 {
	out := make([]float64, len(h.points)+1)
	for i := range h.points {
		line := h.alongEdge(i)
		out[i+1] = out[i]
		for j := 1; j < len(line); j++ {
			out[i+1] += away(line[j-1], line[j])
		}
	}
	return out
}

// together are vertices that go all of a drag's way.
func together(vertices []int) []share {
	out := make([]share, len(vertices))
	for i, v := range vertices {
		out[i] = share{v, 1}
	}
	return out
}

// goAlong are what a drag of a vertex moves: all that are chosen where it is one of them.
func (h *Handles) goAlong(vertex int) []share {
	if slices.Contains(h.chosen, vertex) {
		return together(h.chosen)
	}
	return together([]int{vertex})
}

// VerticesIn returns the vertices within a rectangle of the screen between two corners,
// counted from 0.
func (h *Handles) VerticesIn(a, b ink.Pt) []int {
	var out []int
	for i, p := range h.points {
		if p.X >= min(a.X, b.X) && p.X <= max(a.X, b.X) && p.Y >= min(a.Y, b.Y) && p.Y <= max(a.Y, b.Y) {
			out = append(out, i)
		}
	}
	return out
}

// DrawChoice draws a rectangle of the screen between two corners, to choose what lies in it.
func DrawChoice(dst *image.RGBA, a, b ink.Pt, scale float64) {
	box := ink.Rect{X0: min(a.X, b.X), Y0: min(a.Y, b.Y), X1: max(a.X, b.X), Y1: max(a.Y, b.Y)}
	ink.Box(dst, box, ink.Pen{Width: slight.wide * scale, Colour: rim})
	ink.Box(dst, box, ink.Pen{Width: slight.thin * scale, Colour: look.White})
}

// moveAlong moves vertices their shares of a way.
func moveAlong(t *mask.Track, frame int, reach mask.Reach, along []share, way mask.Point) error {
	for _, s := range along {
		if err := t.MovePoint(frame, reach, s.vertex, s.of*way.X, s.of*way.Y); err != nil {
			return err
		}
	}
	return nil
}
