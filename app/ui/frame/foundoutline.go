package frame

import (
	"image"

	"halocline/app/ui/handles"
	"halocline/app/view"
	"halocline/mask"
)

// drawFound draws where the edges of the chosen matte's masks were found.
func (t *maskTool) drawFound(dst *image.RGBA, vp view.Viewport, scale float64) {
	m := t.desk.Matte()
	for i := range m.Masks {
		id := m.Masks[i].ID
		if id == t.desk.MaskID && t.follows(&m.Masks[i]) {
			continue // it is drawn in place of the outline
		}
		if id == t.desk.MaskID || t.desk.Shows(m.ID) {
			handles.DrawFound(dst, t.foundFor(id), vp, scale)
		}
	}
}

// foundFor are the contours of the edge that was found for a mask, once it is known of the
// outline as it is on the frame that is shown; nil until then, and where none was found.
func (t *maskTool) foundFor(id int) [][]mask.Point {
	d := t.desk
	if t.picture.frame() != d.Frame || d.Plays() {
		return nil
	}
	if o, ok := d.OutlineOf(id); ok && !o.Found.Lost {
		return o.Found.Contours
	}
	return nil
}
