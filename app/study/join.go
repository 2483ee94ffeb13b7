package study

import (
	"fmt"
	"slices"
	"strings"
)

// A How says how a matte takes in another. a is the matte's own alpha, b the other's final
// one.
type How int

const (
	Add      How = iota // the larger of a and b
	Touching            // a + b, at most 1: two that share a soft border leave no seam
	TakeAway            // a (1 - b)
	Within              // a b: only what is in both
)

var howNames = [...]string{"add", "touching", "takeAway", "within"}

// HowNames are the names of all in files.
func HowNames() []string { return howNames[:] }

// String returns the name in files.
func (h How) String() string {
	if h < 0 || int(h) >= len(howNames) {
		return fmt.Sprintf("How(%d)", int(h))
	}
	return howNames[h]
}

// ParseHow is the inverse of String.
func ParseHow(s string) (How, error) {
	if i := slices.Index(howNames[:], s); i >= 0 {
		return How(i), nil
	}
	return 0, fmt.Errorf("study: how to join is %q, want one of %s", s, strings.Join(howNames[:], ", "))
}

// A Join takes the final matte of another into a matte, before its edge is grown and
// softened.
type Join struct {
	With int // the other matte's id
	How  How
}

// TakeIn takes in another matte, by its id, after those that are taken in already. One of
// them stays in its place.
func (s *Settings) TakeIn(with int, how How) {
	if i := slices.IndexFunc(s.Joins, func(j Join) bool { return j.With == with }); i >= 0 {
		s.Joins[i].How = how
		return
	}
	s.Joins = append(s.Joins, Join{With: with, How: how})
}

// TakeOut takes another matte out again; false where it is not taken in.
func (s *Settings) TakeOut(with int) bool {
	n := len(s.Joins)
	s.Joins = orNil(slices.DeleteFunc(s.Joins, func(j Join) bool { return j.With == with }))
	return len(s.Joins) < n
}

// A JoinedAt is a join at one frame. The other's trial does not come along.
type JoinedAt struct {
	How      How
	Settings SettingsAt
}

// SettingsAt returns settings at a frame with those of the mattes that they take in, and those
// on the frames that they settle with. The
// points of masks may be shared with s: do not change them.
func (s *Study) SettingsAt(set *Settings, frame int) SettingsAt {
	return s.settingsAt(set, frame, len(s.Mattes))
}

// settingsAt follows joins so deep at most. A study that is checked has no circle, and
// maxUnfolded bounds how often joins that meet again are followed.
func (s *Study) settingsAt(set *Settings, frame, deep int) SettingsAt {
	at := s.unsettledAt(set, frame, deep)
	at.Settle = s.settleAt(set, frame, deep)
	return at
}

// unsettledAt is settingsAt for settings that do not settle themselves.
func (s *Study) unsettledAt(set *Settings, frame, deep int) SettingsAt {
	at := set.At(frame)
	if deep == 0 {
		return at
	}
	for _, j := range set.Joins {
		if other := s.Matte(j.With); other != nil {
			taken := s.settingsAt(&other.Settings, frame, deep-1)
			taken.Trial = TrialAt{}
			at.Joined = append(at.Joined, JoinedAt{j.How, taken})
		}
	}
	return at
}

// JoinedMattes are all mattes that settings take in, by whatever way, each once.
func (s *Study) JoinedMattes(set *Settings) (all []*Matte) {
	var collect func(joins []Join)
	collect = func(joins []Join) {
		for _, j := range joins {
			if m := s.Matte(j.With); m != nil && !slices.Contains(all, m) {
				all = append(all, m)
				collect(m.Joins)
			}
		}
	}
	collect(set.Joins)
	return all
}

// TakenInBy are the mattes that take one in themselves.
func (s *Study) TakenInBy(id int) (all []*Matte) {
	for i := range s.Mattes {
		if slices.ContainsFunc(s.Mattes[i].Joins, func(j Join) bool { return j.With == id }) {
			all = append(all, &s.Mattes[i])
		}
	}
	return all
}

// ToExport are the mattes that an export of all has, and those that it leaves out.
func (s *Study) ToExport() (all, left []*Matte) {
	for i := range s.Mattes {
		if m := &s.Mattes[i]; m.NotExported {
			left = append(left, m)
		} else {
			all = append(all, m)
		}
	}
	return all, left
}

// Circle is a loop of mattes that take one another in, by their names, beginning and
// ending with the same; nil for none.
func (s *Study) Circle() []string {
	done := map[int]bool{}
	var way []int
	var look func(id int) []int
	look = func(id int) []int {
		if done[id] {
			return nil
		}
		if i := slices.Index(way, id); i >= 0 {
			return append(slices.Clone(way[i:]), id)
		}
		m := s.Matte(id)
		if m == nil {
			return nil
		}
		way = append(way, id)
		defer func() { way = way[:len(way)-1] }()
		for _, j := range m.Joins {
			if loop := look(j.With); loop != nil {
				return loop
			}
		}
		done[id] = true
		return nil
	}
	for i := range s.Mattes {
		if loop := look(s.Mattes[i].ID); loop != nil {
			var names []string
			for _, id := range loop {
				names = append(names, s.Matte(id).Name)
			}
			return names
		}
	}
	return nil
}

// DabsOf are the dabs that say what a matte with all that it takes in is to keep and to
// drop: its own, and of each other those that say something of the whole. What an added
// matte keeps is to be kept, what one that is taken away keeps is to be dropped, and what
// one that limits the matte drops is to be dropped.
func (s *Study) DabsOf(m *Matte) []Dab {
	return s.dabsOf(m.Dabs, &m.Settings, len(s.Mattes))
}

func (s *Study) dabsOf(own []Dab, set *Settings, deep int) []Dab {
	all := slices.Clone(own)
	if deep == 0 {
		return all
	}
	for _, j := range set.Joins {
		other := s.Matte(j.With)
		if other == nil {
			continue
		}
		for _, d := range s.dabsOf(other.Dabs, &other.Settings, deep-1) {
			switch {
			case (j.How == Add || j.How == Touching) && d.Kind == Keep:
			case j.How == TakeAway && d.Kind == Keep:
				d.Kind = Drop
			case j.How == Within && d.Kind == Drop:
			default:
				continue
			}
			all = append(all, d)
		}
	}
	return all
}
