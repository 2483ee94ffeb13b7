package desk

import (
	"reflect"
	"slices"

	"halocline/app/study"
	"halocline/app/view"
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

// GoToStep opens a step of the work.
func (d *Desk) GoToStep(s Step) { d.Set(func() { d.OpenStep(s) }) }

func (d *Desk) ToggleCompare() {
	d.Set(func() {
		d.Compare = !d.Compare
		if d.Other == d.View {
			d.Other = view.Frame
			if d.View == view.Frame {
				d.Other = view.Matte
			}
		}
	})
}

// Shows reports whether a matte's outlines are drawn on the frame, and its trial
// grades.
func (d *Desk) Shows(matteID int) bool { return !d.hidden[matteID] }

func (d *Desk) SetShown(matteID int, on bool) { d.Set(func() { d.hidden[matteID] = !on }) }
