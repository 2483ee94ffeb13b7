package handles

import (
	"fmt"
	"image"
	"math"

	"halocline/app/ui/ink"
	"halocline/app/ui/look"
	"halocline/app/ui/viewer"
	"halocline/mask"
)

// A Draft is a mask in the making: its vertices so far, in source pixels.
type Draft struct {
	points  []mask.Point
	pointer *mask.Point // nil: not on the frame yet
}

// NewDraft returns a draft without vertices.
func NewDraft() *Draft { return &Draft{} }

// Add puts a vertex at the end.
func (d *Draft) Add(x, y float64) { d.points = append(d.points, mask.Point{X: x, Y: y}) }

// Back takes the last vertex away.
func (d *Draft) Back() { d.points = d.points[:max(0, len(d.points)-1)] }

// Hover follows the pointer with a line.
func (d *Draft) Hover(x, y float64) { d.pointer = &mask.Point{X: x, Y: y} }

// Closes reports whether a press at a point of the screen closes the outline:
// there are three vertices and it is on the first.
func (d *Draft) Closes(sx, sy float64, vp viewer.Viewport, scale float64) bool {
	if len(d.points) < 3 {
		return false
	}
	x, y := vp.ToScreen(d.points[0].X, d.points[0].Y)
	return math.Hypot(sx-x, sy-y) <= reach*scale
}

// Close returns the vertices, or an error where they are too few.
func (d *Draft) Close() ([]mask.Point, error) {
	if len(d.points) < 3 {
		return nil, fmt.Errorf("it has %d vertices, want three or more", len(d.points))
	}
	return append([]mask.Point{}, d.points...), nil
}

// Draw draws what there is, and the line to the pointer.
func (d *Draft) Draw(dst *image.RGBA, vp viewer.Viewport, scale float64) {
	at := func(p mask.Point) ink.Pt {
		x, y := vp.ToScreen(p.X, p.Y)
		return ink.Pt{X: x, Y: y}
	}
	h := &Handles{scale: scale}
	var line []ink.Pt
	for _, p := range d.points {
		line = append(line, at(p))
	}
	h.stroke(dst, line, false, 3.6, 1.4, look.White)
	if d.pointer != nil && len(line) > 0 {
		h.stroke(dst, []ink.Pt{line[len(line)-1], at(*d.pointer)}, false, 3, 1.2, look.Accent)
	}
	closes := false
	if d.pointer != nil {
		p := at(*d.pointer)
		closes = d.Closes(p.X, p.Y, vp, scale)
	}
	for i, p := range line {
		h.drawVertex(dst, p, i == 0 && closes, false)
	}
	if closes {
		drawLabel(dst, ink.Pt{X: line[0].X + 12*scale, Y: line[0].Y}, "closes the mask", scale)
	}
}

// arcPoints are points on a circle from one angle to another, in degrees.
func arcPoints(c ink.Pt, r, from, to float64) []ink.Pt {
	const step = 15
	var out []ink.Pt
	for a := from; a <= to; a += step {
		sin, cos := math.Sincos(a * math.Pi / 180)
		out = append(out, ink.Pt{X: c.X + r*cos, Y: c.Y + r*sin})
	}
	return out
}
