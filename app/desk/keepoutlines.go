package desk

import "halocline/app/follow/kept"

// keepOutlines has what is found of followed outlines kept beside the study that was opened;
// of one without a file in memory, until it has one. It is to be called before anything is
// rendered.
func (d *Desk) keepOutlines() {
	d.keeps = kept.NewPlace()
	if path := d.Session.Path(); path != "" {
		d.keeps.MoveTo(d.folderBeside(path))
	}
	d.Work.Renderer.KeepOutlines(d.keeps)
	d.Work.Renderer.ShareFound()
}

// moveOutlines keeps them beside the study's new file from now on.
func (d *Desk) moveOutlines(path string) {
	keeps, to := d.keeps, d.folderBeside(path)
	d.moving.Go(func() { keeps.MoveTo(to) })
}

// folderBeside is where the outlines of a study are kept. What cannot be read or written there
// is no error, for all can be made anew: it is noted.
func (d *Desk) folderBeside(path string) *kept.Folder {
	keeps := d.keeps
	return kept.New(kept.Beside(path), kept.DefaultMost, func(sentence string) {
		d.Post(func() {
			if d.keeps == keeps {
				d.Note(sentence)
			}
		})
	})
}
