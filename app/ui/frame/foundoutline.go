package frame

import (
	"image"

	"halocline/app/ui/handles"
	"halocline/app/view"
)

// drawFound draws where the edges of the chosen matte's masks were found, once they are
// known of the outlines as they are on the frame that is shown.
func (t *maskTool) drawFound(dst *image.RGBA, vp view.Viewport, scale float64) {
	d := t.desk
	m := d.Matte()
	if t.picture.frame() != d.Frame || d.Plays() {
		return
	}
	for i := range m.Masks {
		id := m.Masks[i].ID
		if id != d.MaskID && !d.Shows(m.ID) {
			continue
		}
		if o, ok := d.OutlineOf(id); ok && !o.Found.Lost {
			handles.DrawFound(dst, o.Found.Contours, vp, scale)
		}
	}
}
