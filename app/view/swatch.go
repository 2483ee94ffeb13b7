package view

import (
	"image"

	"halocline/selection"
)

// swatchGrey is what a swatch's pattern lies on: a rejected pixel of middle
// light.
const swatchGrey = 0x60

// Swatch returns a piece of a reason's pattern, for a legend.
func Swatch(r selection.Reason, size image.Point) *image.RGBA {
	out := image.NewRGBA(image.Rectangle{Max: size})
	row, near := make([]uint8, 4*size.X), make([]int32, size.X)
	for y := range size.Y {
		for i := range row {
			row[i] = swatchGrey
			if i%4 == 3 {
				row[i] = 0xff
			}
		}
		reasonsRow(row, []selection.Reason{r}, near, 0, y)
		copy(out.Pix[y*out.Stride:], row)
	}
	return out
}
