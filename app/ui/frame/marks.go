package frame

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/ui/viewer"
	"halocline/app/view"
)

// Marks on the frame are light on a dark rim, so that they can be seen on any
// picture.
var shadow = color.NRGBA{0x14, 0x14, 0x14, 0xd0}

// label writes a word on a dark ground, its left end amid at.
func label(dst *image.RGBA, at ink.Pt, text string, scale float64) {
	size := look.SmallSize * scale
	w := look.Type.Width(text, size)
	ink.Fill(dst, ink.Rect{X0: at.X, Y0: at.Y - 10*scale, X1: at.X + w + 12*scale, Y1: at.Y + 10*scale}, color.NRGBA{0x1e, 0x1e, 0x1e, 0xe6})
	look.Type.Text(dst, ink.Pt{X: at.X + 6*scale, Y: at.Y}, text, size, look.Text, ink.MidLeft)
}

// The disc that is sampled at first, the least and the largest, in source pixels.
const (
	startRadius   = 10
	leastRadius   = 1
	largestRadius = 200
)

// resized is a radius after so many notches of the wheel.
func resized(radius, notches float64) float64 {
	return max(leastRadius, min(largestRadius, radius*math.Pow(1.15, notches)))
}

// A cursor is a place on the frame that the arrow keys move, for those who do
// not use a mouse.
type cursor struct {
	viewer  *viewer.Viewer
	pointed func(p viewer.Pointer, inside bool) // is told where it is, as of a mouse

	on   bool
	x, y float64
}

// key moves the cursor, and reports whether the key was one of its own.
func (c *cursor) key(name fyne.KeyName, mods fyne.KeyModifier) bool {
	dx, dy := arrow(name)
	if dx == 0 && dy == 0 || mods&^fyne.KeyModifierShift != 0 {
		return false
	}
	vp := c.viewer.Viewport()
	if !c.on {
		c.on, c.x, c.y = true, vp.X, vp.Y
	}
	by := max(1, 2/vp.Zoom)
	if mods&fyne.KeyModifierShift != 0 {
		by *= 10
	}
	c.x = max(0, min(float64(vp.W)-0.5, math.Floor(c.x+dx*by)+0.5))
	c.y = max(0, min(float64(vp.H)-0.5, math.Floor(c.y+dy*by)+0.5))
	sx, sy := vp.ToScreen(c.x, c.y)
	c.pointed(viewer.Pointer{X: c.x, Y: c.y, SX: sx, SY: sy}, true)
	c.viewer.Redraw()
	return true
}

// arrow is the direction of an arrow key; 0, 0 for any other.
func arrow(name fyne.KeyName) (dx, dy float64) {
	switch name {
	case fyne.KeyLeft:
		return -1, 0
	case fyne.KeyRight:
		return 1, 0
	case fyne.KeyUp:
		return 0, -1
	case fyne.KeyDown:
		return 0, 1
	}
	return 0, 0
}

func (c *cursor) draw(dst *image.RGBA, vp view.Viewport, scale float64) {
	if !c.on {
		return
	}
	x, y := vp.ToScreen(c.x, c.y)
	for _, p := range []ink.Pen{{Width: 4 * scale, Colour: shadow}, {Width: 1.5 * scale, Colour: look.Accent}} {
		for _, d := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			ink.Line(dst, ink.Pt{X: x + 4*scale*d[0], Y: y + 4*scale*d[1]}, ink.Pt{X: x + 12*scale*d[0], Y: y + 12*scale*d[1]}, p)
		}
	}
}
