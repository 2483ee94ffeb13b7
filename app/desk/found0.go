package desk

import (
	"halocline/colour"
)

// PixelAt is a colour as the pick reads it; false while that is not known.
func (d *Desk) PixelAt(x, y int) (colour.RGB, bool) {
	if d.Found.Picked == nil || d.Found.About == nil || d.Found.Frame != d.Frame {
		return colour.RGB{}, false
	}
	width, height := d.Found.Picked.Size()
	if x < 0 || y < 0 || x >= width || y >= height {
		return colour.RGB{}, false
	}
	return d.Found.Picked.RGB(x, y), true
}
