package study

import (
	"fmt"
	"slices"

	"halocline/mask"
	"halocline/selection"
)

// A Study is the whole document. Mattes stand in the order in which their trial
// grades are laid on.
type Study struct {
	Clip   Clip
	Base   Base
	Mattes []Matte
	Next   int    // the lowest id that was never used
	Extra  string // a JSON object that the file carries for others; "" for none
	rest   []restField
}

// New returns a study of a clip, with a neutral base and no mattes.
func New(c Clip) *Study {
	c.ID = 1
	return &Study{Clip: c, Base: NewBase(), Next: 2}
}

// NewID returns an id that was never used in this study.
func (s *Study) NewID() int {
	s.Next++
	return s.Next - 1
}

// Clone returns a copy that shares nothing with s.
func (s *Study) Clone() *Study {
	c := *s
	c.Base = s.Base.clone()
	c.Mattes = slices.Clone(s.Mattes)
	for i := range c.Mattes {
		c.Mattes[i] = c.Mattes[i].clone()
	}
	return &c
}

// Matte returns the matte with an id, or nil.
func (s *Study) Matte(id int) *Matte {
	i := slices.IndexFunc(s.Mattes, func(m Matte) bool { return m.ID == id })
	if i < 0 {
		return nil
	}
	return &s.Mattes[i]
}

// MatteNamed returns the matte with a name, without regard to case, or nil.
func (s *Study) MatteNamed(name string) *Matte {
	name = Fold(name)
	i := slices.IndexFunc(s.Mattes, func(m Matte) bool { return Fold(m.Name) == name })
	if i < 0 {
		return nil
	}
	return &s.Mattes[i]
}

// AddMatte appends a matte that selects everything. If the name is taken it
// gets a number.
func (s *Study) AddMatte(name string, m selection.Model) *Matte {
	name = freeName(name, func(n string) bool {
		return slices.ContainsFunc(s.Mattes, func(m Matte) bool { return fileKey(m.Name) == fileKey(n) })
	})
	s.Mattes = append(s.Mattes, Matte{ID: s.NewID(), Name: name, Settings: NewSettings(m)})
	return &s.Mattes[len(s.Mattes)-1]
}

// fileKey is the same for names whose files would be the same on a system that
// does not regard case.
func fileKey(name string) string { return Fold(SafeName(name)) }

// RemoveMatte takes a matte away, also out of those that take it in.
func (s *Study) RemoveMatte(id int) error {
	n := len(s.Mattes)
	s.Mattes = slices.DeleteFunc(s.Mattes, func(m Matte) bool { return m.ID == id })
	if len(s.Mattes) == n {
		return fmt.Errorf("study: there is no matte with id %d", id)
	}
	gone := func(j Join) bool { return j.With == id }
	for i := range s.Mattes {
		m := &s.Mattes[i]
		m.Joins = orNil(slices.DeleteFunc(m.Joins, gone))
		for k := range m.Proofs {
			m.Proofs[k].Joins = orNil(slices.DeleteFunc(m.Proofs[k].Joins, gone))
		}
	}
	return nil
}

// Mask returns the mask with an id, or nil.
func (s *Settings) Mask(id int) *Mask {
	i := slices.IndexFunc(s.Masks, func(m Mask) bool { return m.ID == id })
	if i < 0 {
		return nil
	}
	return &s.Masks[i]
}

// AddMask appends a mask with one key. If the name is taken in the matte it
// gets a number.
func (s *Study) AddMask(m *Matte, name string, kind Kind, key MaskKey) *Mask {
	name = freeName(name, func(n string) bool {
		return slices.ContainsFunc(m.Masks, func(m Mask) bool { return Fold(m.Name) == Fold(n) })
	})
	m.Masks = append(m.Masks, Mask{ID: s.NewID(), Name: name, Kind: kind, Track: mask.Track{Keys: []MaskKey{key}}})
	return &m.Masks[len(m.Masks)-1]
}

// AddDab appends a dab, under a new id.
func (s *Study) AddDab(m *Matte, d Dab) *Dab {
	d.ID = s.NewID()
	m.Dabs = append(m.Dabs, d)
	return &m.Dabs[len(m.Dabs)-1]
}

// AddMaskDab appends a dab for the edges that masks search for, under a new id.
func (s *Study) AddMaskDab(m *Matte, d Dab) *Dab {
	d.ID = s.NewID()
	m.MaskDabs = append(m.MaskDabs, d)
	return &m.MaskDabs[len(m.MaskDabs)-1]
}

// KeepProof keeps the matte's settings as they are as a proof. If the name is
// taken in the matte it gets a number.
func (s *Study) KeepProof(m *Matte, name string) *Proof {
	name = freeName(name, func(n string) bool {
		return slices.ContainsFunc(m.Proofs, func(p Proof) bool { return Fold(p.Name) == Fold(n) })
	})
	m.Proofs = append(m.Proofs, Proof{ID: s.NewID(), Name: name, Settings: m.Settings.clone()})
	return &m.Proofs[len(m.Proofs)-1]
}

// TakeProof makes a proof's settings the matte's own. The proof stays.
func (m *Matte) TakeProof(id int) error {
	i := slices.IndexFunc(m.Proofs, func(p Proof) bool { return p.ID == id })
	if i < 0 {
		return fmt.Errorf("study: matte %q has no proof with id %d", m.Name, id)
	}
	m.Settings = m.Proofs[i].Settings.clone()
	return nil
}

// tidy leaves one way to say a thing, so that equal studies are equal data:
// empty lists are nil, keyed tracks have no constant.
func (s *Study) tidy() {
	tidySettings(s.Base.Settings())
	s.Mattes = orNil(s.Mattes)
	for i := range s.Mattes {
		m := &s.Mattes[i]
		m.Settings.tidy()
		m.Dabs, m.Proofs, m.Dismissed = orNil(m.Dabs), orNil(m.Proofs), orNil(m.Dismissed)
		for j := range m.Proofs {
			m.Proofs[j].tidy()
		}
		m.Carried.Dabs = orNil(m.Carried.Dabs)
	}
}

func (s *Settings) tidy() {
	for c := range s.Pick.Limits {
		s.Pick.Limits[c].tidy()
	}
	tidySettings(s.Edge.Settings())
	tidySettings(s.Trial.Settings())
	s.Joins = orNil(s.Joins)
	s.Masks, s.MaskDabs = orNil(s.Masks), orNil(s.MaskDabs)
	for i := range s.Masks {
		m := &s.Masks[i]
		m.In, m.Out = tidied(m.In), tidied(m.Out)
	}
}

func tidied(b Bound) Bound {
	if !b.Set {
		return Bound{}
	}
	return b
}

func tidySettings(all []Setting) {
	for _, s := range all {
		s.Track.tidy()
	}
}

func orNil[T any](list []T) []T {
	if len(list) == 0 {
		return nil
	}
	return list
}
