package frame

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/desk"
	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/ui/viewer"
	"halocline/app/view"
)

// A baseTool samples a grey thing or open water where the frame is pressed.
type baseTool struct {
	desk   *desk.Desk
	viewer *viewer.Viewer
	cursor cursor
	at     *desk.Spot // pressed and not yet let go
	radius float64
}

func newBaseTool(d *desk.Desk, c cursor) *baseTool {
	return &baseTool{desk: d, viewer: c.viewer, cursor: c, radius: startRadius}
}

func (t *baseTool) Press(p viewer.Pointer) bool {
	if t.desk.Session == nil || p.Button != desktop.MouseButtonPrimary {
		return false
	}
	t.at = &desk.Spot{X: p.X, Y: p.Y, Radius: t.radius}
	t.viewer.Redraw()
	return true
}

func (t *baseTool) Drag(p viewer.Pointer) {
	if t.at != nil {
		t.at.X, t.at.Y = p.X, p.Y
		t.viewer.Redraw()
	}
}

func (t *baseTool) Release(viewer.Pointer) {
	if t.at == nil {
		return
	}
	at := *t.at
	t.at = nil
	t.desk.TakeBase(at)
}

func (t *baseTool) Cancel() {
	t.at = nil
	t.viewer.Redraw()
}

func (t *baseTool) Hover(viewer.Pointer) {}

func (t *baseTool) Leave() {}

func (t *baseTool) Wheel(_ viewer.Pointer, notches float64) bool {
	if t.at == nil {
		return false
	}
	t.radius = resized(t.radius, notches)
	t.at.Radius = t.radius
	t.viewer.Redraw()
	return true
}

func (t *baseTool) Key(name fyne.KeyName, mods fyne.KeyModifier) bool {
	if t.cursor.key(name, mods) {
		return true
	}
	if (name == fyne.KeyReturn || name == fyne.KeyEnter) && t.cursor.on {
		t.desk.TakeBase(desk.Spot{X: t.cursor.x, Y: t.cursor.y, Radius: t.radius})
		return true
	}
	return false
}

func (t *baseTool) Draw(dst *image.RGBA, vp view.Viewport, scale float64) {
	if s := t.desk.GreySpot(); s != nil {
		drawSpot(dst, vp, scale, *s, "grey")
	}
	if s := t.desk.WaterSpot(); s != nil {
		drawSpot(dst, vp, scale, *s, "open water")
	}
	if s := t.desk.BlackSpot(); s != nil {
		drawSpot(dst, vp, scale, *s, "black")
	}
	if t.at != nil {
		drawSpot(dst, vp, scale, *t.at, "")
	}
	t.cursor.draw(dst, vp, scale)
}

func (t *baseTool) Cursor(viewer.Pointer) desktop.Cursor { return desktop.CrosshairCursor }

// drawSpot draws where something was sampled.
func drawSpot(dst *image.RGBA, vp view.Viewport, scale float64, s desk.Spot, name string) {
	x, y := vp.ToScreen(s.X, s.Y)
	r := max(s.Radius*vp.Zoom, 5*scale)
	ink.Ring(dst, ink.Pt{X: x, Y: y}, r, ink.Pen{Width: 4 * scale, Colour: shadow})
	ink.Ring(dst, ink.Pt{X: x, Y: y}, r, ink.Pen{Width: 1.6 * scale, Colour: look.Bone})
	if name != "" {
		label(dst, ink.Pt{X: x + r + 6*scale, Y: y}, name, scale)
	}
}
