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
	Swept    bool    // by a sweep, to Value
	Value    float64 // in the parameter's unit
	Now      bool    // these are the matte's settings as they are
	Settings *study.Settings
}

// asItIs names the matte's settings where no proof has them.
const asItIs = "as it is now"

// Items returns what there is to be looked at of a matte: its settings as they are,
// where no other item has them, the proofs that are kept, if they are wanted, and
// the steps of a sweep, if there is one. Their settings are not written to.
func Items(m *study.Matte, kept bool, sweep *Sweep) (all []Item) {
	if kept {
		for i := range m.Proofs {
			p := &m.Proofs[i]
			all = append(all, Item{Name: p.Name, Note: p.Note, Kept: p.ID, Settings: &p.Settings})
		}
	}
	if sweep != nil {
		for _, v := range sweep.Values() {
			all = append(all, Item{Name: sweep.Of.Label + " " + sweep.Of.Value(v), Swept: true, Value: v, Settings: sweep.Of.With(&m.Settings, v)})
		}
	}
	for i := range all {
		all[i].Now = Same(all[i].Settings, &m.Settings)
	}
	if !slices.ContainsFunc(all, func(it Item) bool { return it.Now }) {
		all = append([]Item{{Name: asItIs, Now: true, Settings: &m.Settings}}, all...)
	}
	return all
}

// Same reports whether two settings are the same in everything.
func Same(a, b *study.Settings) bool { return reflect.DeepEqual(a, b) }
