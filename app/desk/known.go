package desk

import (
	"reflect"
	"slices"

	"halocline/app/study"
	"halocline/colour"
)

// Fresh reports whether the findings are of the matte as it is now.
func (d *Desk) Fresh() bool {
	return d.Found.About != nil && d.Found.About == d.Study() && d.Found.MatteID == d.MatteID && d.Found.Frame == d.Frame
}

// SourceNow is the frame as decoded; nil while it is not known.
func (d *Desk) SourceNow() *colour.Image {
	if d.Found.About == nil || d.Found.Frame != d.Frame {
		return nil
	}
	return d.Found.Source
}

// PixelAt is the colour of a source pixel as the pick reads it; ok is false while that is
// not known, and outside the frame.
func (d *Desk) PixelAt(x, y int) (c colour.RGB, ok bool) {
	if d.Found.Picked == nil || d.Found.About == nil || d.Found.Frame != d.Frame {
		return colour.RGB{}, false
	}
	width, height := d.Found.Picked.Size()
	if x < 0 || y < 0 || x >= width || y >= height {
		return colour.RGB{}, false
	}
	return d.Found.Picked.RGB(x, y), true
}

// notePicks remembers under which base each pick was set.
func (d *Desk) notePicks() {
	s := d.Study()
	if s == nil || d.Dragging() {
		return
	}
	for i := range s.Mattes {
		m := &s.Mattes[i]
		_, known := d.fitBase[m.ID]
		if !known || !reflect.DeepEqual(m.Pick, d.picks[m.ID]) {
			d.picks[m.ID], d.fitBase[m.ID] = m.Pick, s.Base
		}
	}
}

// Stale reports whether a step needs a look: the pick does when Base changed,
// where its dabs are, after it was set from them.
func (d *Desk) Stale(st Step) bool {
	s, m := d.Study(), d.Matte()
	if st != StepPick || s == nil || m == nil || len(m.Dabs) == 0 {
		return false
	}
	under, known := d.fitBase[m.ID]
	return known && slices.ContainsFunc(m.Dabs, func(d study.Dab) bool {
		return under.At(d.Frame) != s.Base.At(d.Frame)
	})
}
