package desk

import (
	"halocline/app/contact"
	"halocline/app/view"
)

// ContactOf is a contact sheet of every n-th frame of the part in work: the chosen matte as it is
// now, under the hatch, or the trial. A matte must be chosen.
func (d *Desk) ContactOf(v view.View, n int) contact.Clip {
	frames, _ := d.Work.Clip.Select(d.PartSpans())
	return contact.Clip{Study: d.Study(), Renderer: d.Work.Renderer, Matte: d.Matte(), View: v, Frames: contact.Every(frames, n)}
}
