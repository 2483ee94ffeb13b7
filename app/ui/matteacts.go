package ui

import (
	"fmt"
	"slices"

	"halocline/app/study"
	"halocline/selection"
)

// What can be done to mattes as wholes.

func (w *window) newMatte() {
	w.desk.OpenStep(StepPick)
	w.desk.Edit("New matte", func(s *study.Study, _ *study.Matte) error {
		w.desk.MatteID = s.AddMatte("matte", selection.LCh).ID
		return nil
	})
}

func (w *window) renameMatte() {
	m := w.desk.Matte()
	if m == nil {
		return
	}
	w.askName("Rename matte", m.Name, func(name string) error {
		if other := w.desk.Study().MatteNamed(name); other != nil && other.ID != m.ID {
			return fmt.Errorf("%q is there already", other.Name)
		}
		w.desk.EditMatte("Rename matte", func(m *study.Matte) error {
			m.Name = name
			return nil
		})
		return nil
	})
}

func (w *window) duplicateMatte() {
	w.desk.Edit("Duplicate matte", withMatte(func(s *study.Study, m *study.Matte) error {
		from := *m // AddMatte may move the mattes
		copied := s.Clone().Matte(m.ID)
		to := s.AddMatte(from.Name, from.Pick.Model)
		to.Note, to.Settings = copied.Note, copied.Settings
		for i := range to.Masks {
			to.Masks[i].ID = s.NewID()
		}
		for _, d := range copied.Dabs {
			s.AddDab(to, d)
		}
		w.desk.MatteID = to.ID
		return nil
	}))
}

func (w *window) deleteMatte() {
	w.desk.Edit("Delete matte", withMatte(func(s *study.Study, m *study.Matte) error { return s.RemoveMatte(m.ID) }))
}

func (w *window) moveMatte(by int) {
	w.desk.Edit("Move matte", withMatte(func(s *study.Study, m *study.Matte) error {
		i := slices.IndexFunc(s.Mattes, func(o study.Matte) bool { return o.ID == m.ID })
		if j := i + by; j >= 0 && j < len(s.Mattes) {
			s.Mattes[i], s.Mattes[j] = s.Mattes[j], s.Mattes[i]
		}
		return nil
	}))
}

// nextMatte chooses the matte so many places on.
func (w *window) nextMatte(by int) {
	s := w.desk.Study()
	if s == nil || len(s.Mattes) == 0 {
		return
	}
	i := slices.IndexFunc(s.Mattes, func(o study.Matte) bool { return o.ID == w.desk.MatteID })
	w.desk.Choose(s.Mattes[max(0, min(len(s.Mattes)-1, i+by))].ID)
}
