package desk

import (
	"fmt"
	"slices"

	"halocline/app/study"
	"halocline/selection"
)

// What can be done to mattes as wholes.

// NewMatte adds a matte that picks everything, chooses it and opens Pick.
func (d *Desk) NewMatte() {
	d.OpenStep(StepPick)
	d.Edit("New matte", func(s *study.Study, _ *study.Matte) error {
		d.MatteID = s.AddMatte("matte", selection.LCh).ID
		return nil
	})
}

// DuplicateMatte adds a matte with the settings, the note and the dabs of the chosen one,
// which takes in the same others, and chooses it. Its proofs are not copied.
func (d *Desk) DuplicateMatte() {
	d.Edit("Duplicate matte", withMatte(func(s *study.Study, m *study.Matte) error {
		from := *m // AddMatte may move the mattes
		copied := s.Clone().Matte(m.ID)
		to := s.AddMatte(from.Name, from.Pick.Model)
		to.Note, to.NotExported, to.Settings = copied.Note, copied.NotExported, copied.Settings
		for i := range to.Masks {
			to.Masks[i].ID = s.NewID()
		}
		for i := range to.MaskDabs {
			to.MaskDabs[i].ID = s.NewID()
		}
		for _, d := range copied.Dabs {
			s.AddDab(to, d)
		}
		d.MatteID = to.ID
		return nil
	}))
}

// DeleteMatte takes the chosen matte away, also out of those that take it in, which is
// noted.
func (d *Desk) DeleteMatte() {
	told := ""
	if m := d.Matte(); m != nil {
		told = noLonger(d.Study().TakenInBy(m.ID), m.Name)
	}
	deleted := d.Edit("Delete matte", withMatte(func(s *study.Study, m *study.Matte) error { return s.RemoveMatte(m.ID) }))
	if deleted && told != "" {
		d.Note(told)
	}
}

// MoveMatte moves the chosen matte so many places on in the list, if there are so many.
func (d *Desk) MoveMatte(by int) {
	d.Edit("Move matte", withMatte(func(s *study.Study, m *study.Matte) error {
		i := slices.IndexFunc(s.Mattes, func(o study.Matte) bool { return o.ID == m.ID })
		if j := i + by; j >= 0 && j < len(s.Mattes) {
			s.Mattes[i], s.Mattes[j] = s.Mattes[j], s.Mattes[i]
		}
		return nil
	}))
}

// NextMatte chooses the matte so many places on, at most the last.
func (d *Desk) NextMatte(by int) {
	s := d.Study()
	if s == nil || len(s.Mattes) == 0 {
		return
	}
	i := slices.IndexFunc(s.Mattes, func(o study.Matte) bool { return o.ID == d.MatteID })
	d.Choose(s.Mattes[max(0, min(len(s.Mattes)-1, i+by))].ID)
}

// RenameMatte gives the chosen matte a name; an error where another matte has it, or one
// that makes the same file name. Something must be open.
func (d *Desk) RenameMatte(name string) error {
	if other := d.Study().MatteNamed(name); other != nil && other.ID != d.MatteID {
		return fmt.Errorf("%q is there already", other.Name)
	}
	d.EditMatte("Rename matte", func(m *study.Matte) error {
		m.Name = name
		return nil
	})
	return nil
}
