package handles

import (
	"image"

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
	dash := ink.Pen{Width: slight.thin * scale, Colour: look.Bone, Dash: []float64{foundDash * scale, foundGap * scale}}
	for _, c := range contours {
		points := make([]ink.Pt, len(c))
		for i, p := range c {
			points[i].X, points[i].Y = vp.ToScreen(p.X, p.Y)
		}
		ink.Polyline(dst, points, true, ink.Pen{Width: slight.wide * scale, Colour: rim})
		ink.Polyline(dst, points, true, dash)
	}
}
