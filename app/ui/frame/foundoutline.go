package frame

import (
	"image"

	"halocline/app/ui/handles"
	"halocline/app/view"
	"halocline/mask"
)

// drawFound draws where the edges of the chosen matte's masks were found, but for one of them;
// 0 is none.
func (p picture) drawFound(dst *image.RGBA, vp view.Viewport, scale float64, but int) {
	m := p.desk.Matte()
	for i := range m.Masks {
		if id := m.Masks[i].ID; id != but && p.outlines(id) {
			handles.DrawFound(dst, p.foundFor(id), vp, scale)
		}
	}
}

// drawSearched draws thin the outlines of the chosen matte's masks that search for an edge on
// the frame, and the edges that were found.
func (p picture) drawSearched(dst *image.RGBA, vp view.Viewport, scale float64) {
	m, frame := p.desk.Matte(), p.frame()
	for i := range m.Masks {
		if t := &m.Masks[i]; t.Searches(frame) && t.StretchAt(frame) == nil && p.outlines(t.ID) {
			handles.Of(t.At(frame), vp, scale).Draw(dst, handles.Part{}, true)
		}
	}
	p.drawFound(dst, vp, scale, 0)
}

// outlines reports whether the outline of one of the chosen matte's masks is drawn: it is the
// chosen one, or the matte is shown.
func (p picture) outlines(id int) bool {
	return id == p.desk.MaskID || p.desk.Shows(p.desk.MatteID)
}

// foundFor are the contours of the edge that was found for a mask, once it is known of the
// outline as it is on the frame that is shown; nil until then, and where none was found.
func (p picture) foundFor(id int) [][]mask.Point {
	d := p.desk
	if p.frame() != d.Frame || d.Plays() {
		return nil
	}
	if o, ok := d.OutlineOf(id); ok && !o.Found.Lost {
		return o.Found.Contours
	}
	return nil
}

// passing are the contours of a mask's followed outline on a frame that passes by, where they
// were found before; else nil.
func (p picture) passing(id int) [][]mask.Point {
	s := p.preview.Last.Load()
	if s == nil || s.Request.Frame != p.frame() || p.desk.Matte() == nil {
		return nil
	}
	for _, o := range s.Followed {
		if now, ok := p.desk.LayerAt(id, p.frame()); ok && o.Mask == id && o.IsOf(&now) && !o.Found.Lost {
			return o.Found.Contours
		}
	}
	return nil
}
