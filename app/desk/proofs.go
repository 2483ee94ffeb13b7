package desk

import (
	"fmt"
	"slices"

	"halocline/app/proof"
	"halocline/app/study"
)

// What is done with proofs.

// KeepProof keeps the chosen matte's settings as they are.
func (d *Desk) KeepProof() {
	d.Edit("Keep as proof", withMatte(func(s *study.Study, m *study.Matte) error {
		s.KeepProof(m, fmt.Sprintf("proof %d", len(m.Proofs)+1))
		return nil
	}))
}

// UseProof makes settings the chosen matte's own: those of a kept proof, by its id, or
// others.
func (d *Desk) UseProof(it proof.Item) {
	d.EditMatte("Use "+it.Name, func(m *study.Matte) error {
		if it.Kept != 0 {
			return m.TakeProof(it.Kept)
		}
		m.Settings = it.Settings.Clone()
		return nil
	})
}

// KeepProofs makes proofs of the values of a sweep that are not kept yet. notes has
// theirs, by their places.
func (d *Desk) KeepProofs(items []proof.Item, notes map[int]string) {
	n := 0
	for _, it := range items {
		if it.Swept && it.Kept == 0 {
			n++
		}
	}
	d.Edit(fmt.Sprintf("Keep %d proofs", n), withMatte(func(s *study.Study, m *study.Matte) error {
		now := m.Settings
		for i, it := range items {
			if it.Swept && it.Kept == 0 {
				m.Settings = it.Settings.Clone()
				s.KeepProof(m, it.Name).Note = notes[i]
			}
		}
		m.Settings = now
		return nil
	}))
}

// ForgetProof takes a kept proof out of the study.
func (d *Desk) ForgetProof(id int) {
	d.EditMatte("Forget proof", func(m *study.Matte) error {
		m.Proofs = slices.DeleteFunc(m.Proofs, func(k study.Proof) bool { return k.ID == id })
		return nil
	})
}

// NoteProof notes something about a kept proof, and reports whether that could be
// done.
func (d *Desk) NoteProof(id int, text string) bool {
	return d.EditMatte("Note of a proof", func(m *study.Matte) error {
		for i := range m.Proofs {
			if m.Proofs[i].ID == id {
				m.Proofs[i].Note = text
			}
		}
		return nil
	})
}
