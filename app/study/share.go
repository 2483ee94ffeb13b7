package study

import "slices"

// share puts the lists of before in the place of equal ones of s, so that a
// long line of edits holds each list once. Neither may be changed afterwards.
func (s *Study) share(before *Study) {
	shareSettings(s.Base.Settings(), before.Base.Settings())
	for i := range s.Mattes {
		m := &s.Mattes[i]
		old := before.Matte(m.ID)
		if old == nil {
			continue
		}
		m.Settings.share(&old.Settings)
		shareList(&m.Dabs, old.Dabs)
		for j := range m.Proofs {
			p := &m.Proofs[j]
			k := slices.IndexFunc(old.Proofs, func(o Proof) bool { return o.ID == p.ID })
			if k >= 0 {
				p.Settings.share(&old.Proofs[k].Settings)
			}
		}
	}
}

func (s *Settings) share(before *Settings) {
	for c := range s.Pick.Limits {
		shareList(&s.Pick.Limits[c].Keys, before.Pick.Limits[c].Keys)
	}
	shareList(&s.Joins, before.Joins)
	shareSettings(s.Edge.Settings(), before.Edge.Settings())
	shareSettings(s.Trial.Settings(), before.Trial.Settings())
	for i := range s.Masks {
		if old := before.Mask(s.Masks[i].ID); old != nil {
			s.Masks[i].share(old)
		}
	}
}

func (m *Mask) share(before *Mask) {
	all := len(m.Keys) == len(before.Keys)
	for i := range m.Keys {
		k := &m.Keys[i]
		j, found := slices.BinarySearchFunc(before.Keys, k.Frame, func(k MaskKey, f int) int { return k.Frame - f })
		if !found {
			all = false
			continue
		}
		shareList(&k.Points, before.Keys[j].Points)
		all = all && sameKey(k, &before.Keys[j])
	}
	if all {
		m.Keys = before.Keys
	}
}

func sameKey(k, o *MaskKey) bool {
	return k.Frame == o.Frame && k.Way == o.Way && k.Inner == o.Inner && k.Outer == o.Outer &&
		k.Opacity == o.Opacity && k.Tight == o.Tight && slices.Equal(k.Points, o.Points)
}

func shareSettings(all, before []Setting) {
	for i, s := range all {
		shareList(&s.Track.Keys, before[i].Track.Keys)
	}
}

func shareList[T comparable](list *[]T, before []T) {
	if slices.Equal(*list, before) {
		*list = before
	}
}
