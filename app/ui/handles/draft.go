package handles

import (
	"fmt"
	"image"
	"slices"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/view"
	"halocline/mask"
)

// A Draft is a mask in the making: its vertices so far, in source pixels.
type Draft struct {
	points  []mask.Point
	pointer mask.Point
	over    bool // the pointer is on the frame
}

// NewDraft returns a draft without vertices.
func NewDraft() *Draft { return &Draft{} }

// Len is how many vertices there are.
func (d *Draft) Len() int { return len(d.points) }

// Add puts a vertex at the end, unless the last one is there already.
func (d *Draft) Add(x, y float64) {
	p := mask.Point{X: x, Y: y}
	if n := len(d.points); n == 0 || d.points[n-1] != p {
		d.points = append(d.points, p)
	}
	d.pointer, d.over = p, true
}

// Back takes the last vertex away.
func (d *Draft) Back() { d.points = d.points[:max(0, len(d.points)-1)] }

// Hover follows the pointer with a line.
func (d *Draft) Hover(x, y float64) { d.pointer, d.over = mask.Point{X: x, Y: y}, true }

// Leave lets the line to the pointer go.
func (d *Draft) Leave() { d.over = false }

// fewest is how many vertices a mask has at least.
const fewest = 3

// Closes reports whether a press at a point of the screen is on the first
// vertex, and so is to close the outline. Close says whether it can.
func (d *Draft) Closes(sx, sy float64, vp view.Viewport, scale float64) bool {
	if len(d.points) < 2 {
		return false
	}
	x, y := vp.ToScreen(d.points[0].X, d.points[0].Y)
	return away(ink.Pt{X: sx, Y: sy}, ink.Pt{X: x, Y: y}) <= vertexReach*scale
}

// Close returns the vertices, or an error where they are too few.
func (d *Draft) Close() ([]mask.Point, error) {
	switch n := len(d.points); {
	case n == 1:
		return nil, fmt.Errorf("handles: the outline has 1 vertex, want %d or more", fewest)
	case n < fewest:
		return nil, fmt.Errorf("handles: the outline has %d vertices, want %d or more", n, fewest)
	}
	return slices.Clone(d.points), nil
}

// Draw draws what there is, and the lines to the pointer.
func (d *Draft) Draw(dst *image.RGBA, vp view.Viewport, scale float64) {
	if len(d.points) == 0 {
		return
	}
	b := brush{dst, scale}
	at := func(p mask.Point) ink.Pt {
		x, y := vp.ToScreen(p.X, p.Y)
		return ink.Pt{X: x, Y: y}
	}
	chain := make([]ink.Pt, len(d.points))
	for i, p := range d.points {
		chain[i] = at(p)
	}
	first, last, pointer := chain[0], chain[len(chain)-1], at(d.pointer)
	closes := d.over && len(chain) >= fewest && d.Closes(pointer.X, pointer.Y, vp, scale)
	switch {
	case closes:
		b.stroke([]ink.Pt{last, first}, false, strong, look.Accent)
	case d.over:
		if len(chain) > 1 { // how it would close
			ink.Line(dst, pointer, first, ink.Pen{Width: scale, Colour: faint, Dash: []float64{4 * scale, 4 * scale}})
		}
		b.stroke([]ink.Pt{last, pointer}, false, strong, look.Accent)
	}
	b.stroke(chain, false, strong, look.White)
	for i, p := range chain {
		fill := look.Plot
		if i == 0 && closes {
			fill = look.Accent
		}
		b.square(p, fill)
	}
	if closes {
		b.label(first, "closes the outline", false)
	}
}
