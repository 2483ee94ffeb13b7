package handles

import (
	"image"
	"image/color"
	"math"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/view"
	"halocline/mask"
)

// Dashes of a found outline, in Fyne's units.
const (
	foundDash = 5
	foundGap  = 3
)

// DrawFound draws the contours of a found edge, in source pixels: thin lines of short
// dashes in bone on dark ones. They have no handles.
func DrawFound(dst *image.RGBA, contours [][]mask.Point, vp view.Viewport, scale float64) {
	drawDashes(dst, onScreen(contours, vp), scale, look.Bone, true)
}

func onScreen(contours [][]mask.Point, vp view.Viewport) [][]ink.Pt {
	loops := make([][]ink.Pt, len(contours))
	for i, c := range contours {
		loops[i] = make([]ink.Pt, len(c))
		for j, p := range c {
			loops[i][j].X, loops[i][j].Y = vp.ToScreen(p.X, p.Y)
		}
	}
	return loops
}

// drawDashes draws closed lines of short dashes, on dark lines or not.
func drawDashes(dst *image.RGBA, loops [][]ink.Pt, scale float64, c color.NRGBA, cased bool) {
	dash := ink.Pen{Width: slight.thin * scale, Colour: c, Dash: []float64{foundDash * scale, foundGap * scale}}
	for _, points := range loops {
		if cased {
			ink.Polyline(dst, points, true, ink.Pen{Width: slight.wide * scale, Colour: rim})
		}
		ink.Polyline(dst, points, true, dash)
	}
}

// About has the feathers drawn about the contours of an edge that was found for the shape,
// in source pixels and with what is inside to the right of the way along them, as seen on
// the screen. Their handles stand by the place of it that is nearest to the outline's longest
// side, where fewest vertices are about.
func (h *Handles) About(contours [][]mask.Point) {
	if h.empty() {
		return
	}
	found := h.edgeAlong(contours)
	if s, ok := found.standNear(h.onLongest(), smoothed*h.scale); ok {
		h.found, h.stand = found, s
	}
}

// onLongest is a place on the longest side, not amid it: see findStand.
func (h *Handles) onLongest() ink.Pt {
	longest, length := 0, 0.0
	for i, p := range h.points {
		if l := away(p, h.points[(i+1)%len(h.points)]); l > length {
			longest, length = i, l
		}
	}
	return h.screen(h.shape.OnSide(longest, 1.0/3))
}

// smoothed is how far along a found edge, each way and in Fyne's units, its direction is
// taken from: the edge has steps of a pixel.
const smoothed = 6

// standNear returns the place of the edge that is nearest to p, and the way out of what is
// filled there, by the places so far before and behind it; ok is false where there is none.
func (e *edge) standNear(p ink.Pt, reach float64) (s stand, ok bool) {
	least := math.Inf(1)
	for _, loop := range e.loops {
		for i, a := range loop {
			b := loop[(i+1)%len(loop)]
			q := nearestOn(p, a, b)
			d := away(p, q)
			if d >= least {
				continue
			}
			before, behind := walk(q, loop, i, -1, reach), walk(q, loop, i+1, 1, reach)
			l := away(before, behind)
			if l > 0 {
				least, ok = d, true
				s = stand{q, ink.Pt{X: (behind.Y - before.Y) / l, Y: (before.X - behind.X) / l}}
			}
		}
	}
	return s, ok
}

// walk returns the place at a distance from p along a closed line, whose next point has an
// index, onward by 1 or back by -1. It goes round once at most.
func walk(p ink.Pt, loop []ink.Pt, next, by int, distance float64) ink.Pt {
	for range loop {
		q := loop[(next+len(loop))%len(loop)]
		l := away(p, q)
		if l >= distance {
			return beyond(p, ink.Pt{X: (q.X - p.X) / l, Y: (q.Y - p.Y) / l}, distance)
		}
		p, next, distance = q, next+by, distance-l
	}
	return p
}
