package desk

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"halocline/app/study"
	"halocline/selection"
)

// What can be done about mattes that the chosen one takes in.

// HowNames are the ways to take a matte in, as screens have them.
var HowNames = []string{study.Add: "add", study.Touching: "touching", study.TakeAway: "take away", study.Within: "within"}

// HowHint says what each of them does.
const HowHint = "add: also what the other keeps; touching: the same for two that share a soft border, without a seam; " +
	"take away: not what the other keeps; within: only where the other keeps too"

// JoinMatte takes the final matte of another into the chosen one, after those that it takes
// in already. One of them stays in its place and is taken in the new way; Joinable does not
// offer it. The study refuses mattes that would take one another in, round and round.
func (d *Desk) JoinMatte(with int, how study.How) {
	d.EditMatte("Join matte", func(m *study.Matte) error {
		m.TakeIn(with, how)
		return nil
	})
}

// SetHow changes the way in which the chosen matte takes in its i-th joined matte.
func (d *Desk) SetHow(i int, how study.How) {
	d.editJoins("How to join", i, func(joins []study.Join) []study.Join {
		joins[i].How = how
		return joins
	})
}

// Unjoin takes the i-th joined matte out of the chosen one.
func (d *Desk) Unjoin(i int) {
	d.editJoins("Take joined matte out", i, func(joins []study.Join) []study.Join { return slices.Delete(joins, i, i+1) })
}

// MoveJoin moves the i-th joined matte of the chosen one so many places on, if there are so
// many.
func (d *Desk) MoveJoin(i, by int) {
	d.editJoins("Move joined matte", i, func(joins []study.Join) []study.Join {
		if to := i + by; to >= 0 && to < len(joins) {
			joins[i], joins[to] = joins[to], joins[i]
		}
		return joins
	})
}

// editJoins is EditMatte for a change of what the chosen matte takes in, of which there
// must be an i-th.
func (d *Desk) editJoins(label string, i int, change func([]study.Join) []study.Join) {
	d.EditMatte(label, func(m *study.Matte) error {
		if i < 0 || i >= len(m.Joins) {
			return errors.New("there is no such joined matte")
		}
		m.Joins = change(m.Joins)
		return nil
	})
}

// Joinable are the mattes that the chosen one can take in and does not yet.
func (d *Desk) Joinable() (all []*study.Matte) {
	s, m := d.Study(), d.Matte()
	if m == nil {
		return nil
	}
	for i := range s.Mattes {
		other := &s.Mattes[i]
		takenIn := slices.ContainsFunc(m.Joins, func(j study.Join) bool { return j.With == other.ID })
		if other.ID != m.ID && !takenIn && !slices.Contains(s.JoinedMattes(&other.Settings), m) {
			all = append(all, other)
		}
	}
	return all
}

// SetNotExported leaves the chosen matte out of exports of all mattes, or not.
func (d *Desk) SetNotExported(on bool) {
	d.EditMatte("Not exported", func(m *study.Matte) error {
		m.NotExported = on
		return nil
	})
}

// CanMaskAlone reports whether the chosen matte has both: a range that is on, and a keep
// mask that is on.
func (d *Desk) CanMaskAlone() bool {
	m := d.Matte()
	if m == nil {
		return false
	}
	ranges := slices.ContainsFunc(m.Pick.Limits[:], func(l study.Limit) bool { return !l.Off })
	return ranges && slices.ContainsFunc(m.Masks, func(t study.Mask) bool { return t.Kind == study.Keep && !t.Off })
}

// MaskAlone takes all ranges of the chosen matte off, so that its masks alone say what it
// keeps.
func (d *Desk) MaskAlone() {
	d.EditMatte("Mask alone", func(m *study.Matte) error {
		for c := range selection.Channels {
			m.Pick.Limits[c].Off = true
		}
		m.Pick.Fitted = false
		return nil
	})
}

// noLonger says which mattes took in one that is gone; "" for none.
func noLonger(of []*study.Matte, gone string) string {
	var names []string
	for _, m := range of {
		names = append(names, "‘"+m.Name+"’")
	}
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("%s no longer takes in ‘%s’", names[0], gone)
	default:
		return fmt.Sprintf("%s and %s no longer take in ‘%s’", strings.Join(names[:n-1], ", "), names[n-1], gone)
	}
}
