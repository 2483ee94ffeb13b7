package frame

import (
	"image"

	"halocline/app/desk"
	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/view"
)

// markGap is how far apart, in Fyne's units, marks of misclassified pixels are at
// least.
const markGap = 7

// drawMisclassified marks those pixels on the frame: filled discs where something to keep
// is lost, hollow squares where something to drop is caught.
func drawMisclassified(dst *image.RGBA, d *desk.Desk, vp view.Viewport, scale float64) {
	if !d.ShowMisclassified || d.Step != desk.StepPick {
		return
	}
	m := d.Misclassified()
	if m == nil {
		return
	}
	each := func(all []ink.Pt, draw func(at ink.Pt)) {
		taken := map[image.Point]bool{}
		for _, p := range all {
			x, y := vp.ToScreen(p.X, p.Y)
			cell := image.Pt(int(x/(markGap*scale)), int(y/(markGap*scale)))
			if !taken[cell] && x >= 0 && y >= 0 && x < float64(vp.VW) && y < float64(vp.VH) {
				taken[cell] = true
				draw(ink.Pt{X: x, Y: y})
			}
		}
	}
	each(m.Lost, func(at ink.Pt) {
		ink.Disc(dst, at, 3.2*scale, shadow)
		ink.Disc(dst, at, 2.2*scale, look.White)
	})
	each(m.Caught, func(at ink.Pt) {
		half := 2.2 * scale
		box := ink.Rect{X0: at.X - half, Y0: at.Y - half, X1: at.X + half, Y1: at.Y + half}
		ink.Box(dst, box, ink.Pen{Width: 3 * scale, Colour: shadow})
		ink.Box(dst, box, ink.Pen{Width: 1.2 * scale, Colour: look.White})
	})
}
