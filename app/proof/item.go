package proof

import (
	"reflect"
	"slices"

	"halocline/app/study"
)

// An Item is settings that are looked at beside others.
type Item struct {
	Name     string
	Note     string
	Kept     int     // the id of the proof that the study keeps; 0: it keeps none
	KeptAs   string  // that proof's name
	Swept    bool    // by a sweep, to Value
	Value    float64 // in the parameter's unit
	Offered  bool    // Value is known to be that of least misfit
	Now      bool    // these are the matte's settings as they are
	Settings *study.Settings
}

// AsItIs names the matte's settings where no proof has them.
const AsItIs = "as it is now"

// Items returns what there is to be looked at of a matte: its settings as they are,
// where no other item has them, the proofs that are kept, if they are wanted, and
// the values of a sweep, if there is one. A value that is kept already stands once,
// among the sweep's. Their settings are not written to.
func Items(m *study.Matte, kept bool, sweep *Sweep) (all []Item) {
	var swept []Item
	if sweep != nil {
		for _, v := range sweep.Values() {
			swept = append(swept, Item{
				Name: sweep.Of.Label + " " + sweep.Of.Value(v), Swept: true, Value: v,
				Offered: sweep.Offered != nil && v == *sweep.Offered, Settings: sweep.Of.With(&m.Settings, v),
			})
		}
	}
	for i := range m.Proofs {
		p := &m.Proofs[i]
		if at := slices.IndexFunc(swept, func(it Item) bool { return it.Kept == 0 && Same(it.Settings, &p.Settings) }); at >= 0 {
			swept[at].KeptAs, swept[at].Note, swept[at].Kept = p.Name, p.Note, p.ID
		} else if kept {
			all = append(all, Item{Name: p.Name, Note: p.Note, Kept: p.ID, KeptAs: p.Name, Settings: &p.Settings})
		}
	}
	all = append(all, swept...)
	for i := range all {
		all[i].Now = Same(all[i].Settings, &m.Settings)
	}
	if !slices.ContainsFunc(all, func(it Item) bool { return it.Now }) {
		all = append([]Item{{Name: AsItIs, Now: true, Settings: &m.Settings}}, all...)
	}
	return all
}

// Spread returns n frames spread evenly over some, with the first and the last; all
// where there are no more.
func Spread(frames []int, n int) []int {
	if len(frames) <= n || n < 1 {
		return slices.Clone(frames)
	}
	out := make([]int, n)
	for i := range out {
		out[i] = frames[i*(len(frames)-1)/max(n-1, 1)]
	}
	return out
}

// Same reports whether two settings are the same in everything.
func Same(a, b *study.Settings) bool { return reflect.DeepEqual(a, b) }
