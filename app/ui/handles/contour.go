package handles

import (
	"math"

	"halocline/app/ink"
	"halocline/mask"
)

// A contour is where a feather ends: the places at one distance from the edge
// of what a shape fills, outside of it or inside. It is drawn as dots.
//
// To find it, the edge is moved sideways, piece by piece. At corners that open,
// arcs fill the gaps; at others, pieces are cut where they meet; and what still
// comes nearer to any part of the edge than the distance is left out.
type contour struct {
	distance float64 // screen px
	outside  bool
	edge     *edge
}

// An edge is that of what a shape fills, on the screen, as closed chains with
// what is filled to the right of the way along them, as seen on the screen.
type edge struct {
	loops  [][]ink.Pt
	bundle []bundle
}

// A bundle is some consecutive pieces of an edge with the rectangle about them,
// so that far ones are passed by together.
type bundle struct {
	pieces [][2]ink.Pt
	around ink.Rect
}

// edgeOf returns the edge that the feathers are about: that which was found, or that of
// what the handles' shape fills; none where the shape is too tangled to say.
func (h *Handles) edgeOf() *edge {
	if h.found != nil {
		return h.found
	}
	borders, err := mask.Borders(h.shape, flatness/h.vp.Zoom)
	if err != nil {
		return &edge{}
	}
	return h.edgeAlong(borders)
}

// edgeAlong is an edge along closed lines in source pixels, with what is filled to the right
// of the way along them.
func (h *Handles) edgeAlong(borders [][]mask.Point) *edge {
	const bundled = 12
	e := &edge{}
	for _, b := range borders {
		loop := make([]ink.Pt, len(b))
		for i, p := range b {
			loop[i] = h.screen(p)
		}
		e.loops = append(e.loops, loop)
		for i, a := range loop {
			if i%bundled == 0 {
				e.bundle = append(e.bundle, bundle{around: ink.Rect{X0: a.X, Y0: a.Y, X1: a.X, Y1: a.Y}})
			}
			e.bundle[len(e.bundle)-1].add(a, loop[(i+1)%len(loop)])
		}
	}
	return e
}

func (b *bundle) add(from, to ink.Pt) {
	b.pieces = append(b.pieces, [2]ink.Pt{from, to})
	r := &b.around
	r.X0, r.X1 = min(r.X0, from.X, to.X), max(r.X1, from.X, to.X)
	r.Y0, r.Y1 = min(r.Y0, from.Y, to.Y), max(r.Y1, from.Y, to.Y)
}

// within reports whether any of the edge is nearer to p than a distance.
func (e *edge) within(p ink.Pt, distance float64) bool {
	square := distance * distance
	for i := range e.bundle {
		b := &e.bundle[i]
		dx := max(b.around.X0-p.X, p.X-b.around.X1, 0)
		dy := max(b.around.Y0-p.Y, p.Y-b.around.Y1, 0)
		if dx*dx+dy*dy >= square {
			continue
		}
		for _, piece := range b.pieces {
			if squareTo(p, piece[0], piece[1]) < square {
				return true
			}
		}
	}
	return false
}

// Limits, in screen pixels: a nearer contour would lie on the outline, of a
// farther one no view shows much.
const (
	nearestContour  = 2
	farthestContour = 1e4
)

// dots calls each with places along the contour, about spacing pixels apart, that
// lie in a rectangle.
func (c contour) dots(spacing float64, in ink.Rect, each func(ink.Pt)) {
	if !(c.distance >= nearestContour && c.distance <= farthestContour) {
		return
	}
	keep := c.distance - 2*flatness
	for _, loop := range c.edge.loops {
		strokes := c.along(loop)
		whole := 0.0
		for _, s := range strokes {
			whole += s.length()
		}
		gap := whole / max(math.Round(whole/spacing), 1)
		begun := 0.0
		for _, s := range strokes {
			for at := range s.every(gap, begun, in) {
				if !c.edge.within(at, keep) {
					each(at)
				}
			}
			begun += s.length()
		}
	}
}

// along returns what the contour is made of beside a closed chain.
func (c contour) along(loop []ink.Pt) []stroke {
	sign := 1.0
	if !c.outside {
		sign = -1
	}
	ways := waysOf(loop)
	turns := make([]float64, len(loop)) // at the end of each piece; above 0 where the contour opens
	for i, w := range ways {
		v := ways[(i+1)%len(ways)]
		turns[i] = sign * math.Atan2(w.X*v.Y-w.Y*v.X, w.X*v.X+w.Y*v.Y)
	}
	var out []stroke
	for i, a := range loop {
		w, b := ways[i], loop[(i+1)%len(loop)]
		across := ink.Pt{X: sign * w.Y, Y: -sign * w.X}
		cutA, cutB := c.cut(turns[(i+len(turns)-1)%len(turns)]), c.cut(turns[i])
		if l := away(a, b); cutA+cutB < l {
			from := beyond(beyond(a, across, c.distance), w, cutA)
			out = append(out, stroke{from: from, way: w, long: l - cutA - cutB})
		}
		if turns[i] > 0 {
			out = append(out, stroke{from: b, way: across, radius: c.distance, turn: sign * turns[i]})
		}
	}
	return out
}

// cut is how much of a piece the next one takes at a corner that closes.
func (c contour) cut(turn float64) float64 {
	if turn >= 0 {
		return 0
	}
	return c.distance * math.Tan(min(-turn, 3)/2) // 3: the way nearly back
}

// waysOf returns the directions, of length 1, of a closed chain's pieces.
func waysOf(loop []ink.Pt) []ink.Pt {
	out := make([]ink.Pt, len(loop))
	for i, a := range loop {
		b := loop[(i+1)%len(loop)]
		if l := away(a, b); l > 0 {
			out[i] = ink.Pt{X: (b.X - a.X) / l, Y: (b.Y - a.Y) / l}
		}
	}
	return out
}
