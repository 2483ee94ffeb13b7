package desk

import (
	"context"
	"fmt"
	"slices"

	"halocline/app/render"
	"halocline/app/study"
)

// A DabUse is what new dabs are for.
type DabUse int

// The uses: the colours of the pick, the edges that masks search for, or both.
const (
	ForPick DabUse = iota
	ForMasks
	ForBoth
)

// DabUseNames are the uses in words, in their order.
var DabUseNames = []string{"pick", "masks", "both"}

// Words say what a dab is for, after "keep dab"; "" for the pick alone.
func (u DabUse) Words() string { return [...]string{"", " for masks", " for pick and masks"}[u] }

// SetDabUse says what new dabs of the chosen matte are for, where a mask of it searches for
// an edge.
func (d *Desk) SetDabUse(u DabUse) { d.Set(func() { d.dabUses[d.MatteID] = u }) }

// OffersDabUse reports whether dabs can be for anything but the pick: a mask of the chosen
// matte searches for an edge, on some frame.
func (d *Desk) OffersDabUse() bool {
	m := d.Matte()
	return m != nil && slices.ContainsFunc(m.Masks, func(o study.Mask) bool { return o.Search > 0 })
}

// DabUse is what new dabs are for: what the user said for the chosen matte; until then masks
// that search, unless the pick has dabs.
func (d *Desk) DabUse() DabUse {
	if !d.OffersDabUse() {
		return ForPick
	}
	if u, said := d.dabUses[d.MatteID]; said {
		return u
	}
	if len(d.Matte().Dabs) == 0 {
		return ForMasks
	}
	return ForPick
}

// ForMasksAlone reports whether a dab says nothing of colours: one that is new, by the use in
// hand, any other by where it is.
func (d *Desk) ForMasksAlone(dab study.Dab) bool {
	if dab.ID == 0 {
		return d.DabUse() == ForMasks
	}
	m := d.Matte()
	return m != nil && maskDab(m, dab.ID) >= 0
}

// maskDab is where a dab is among those for a matte's masks, below 0 for nowhere.
func maskDab(m *study.Matte, id int) int {
	return slices.IndexFunc(m.MaskDabs, func(o study.Dab) bool { return o.ID == id })
}

func (d *Desk) addMaskDab(dab study.Dab) {
	done := d.Edit(fmt.Sprintf("%s dab%s", Capital(dab.Kind.String()), ForMasks.Words()), withMatte(func(s *study.Study, m *study.Matte) error {
		s.AddMaskDab(m, dab)
		return nil
	}))
	if done {
		d.tellUnheard(d.Matte(), dab)
	}
}

// tellUnheard says of a dab for a matte's masks that it has no say where it lies.
func (d *Desk) tellUnheard(m *study.Matte, dab study.Dab) {
	if d.Clip() == nil {
		return
	}
	say, err := render.SayOf(context.Background(), &m.Settings, dab, d.Clip().Info().Height)
	switch {
	case err != nil || say == render.Heard:
	case say == render.NoSearch:
		d.Note(fmt.Sprintf("This dab has no say: no mask searches an edge on frame %d", dab.Frame))
	default:
		d.Note(fmt.Sprintf("This dab has no say: %s that searches an edge", say.Why()))
	}
}

// alterMaskDab puts another dab in the place of that of an id among those for masks, or
// none; false where it is not one of them.
func (d *Desk) alterMaskDab(label string, id int, to *study.Dab) bool {
	m := d.Matte()
	if m == nil || maskDab(m, id) < 0 {
		return false
	}
	done := d.EditMatte(label, func(m *study.Matte) error {
		i := maskDab(m, id)
		if to == nil {
			m.MaskDabs = slices.Delete(m.MaskDabs, i, i+1)
		} else {
			m.MaskDabs[i] = *to
		}
		return nil
	})
	if done && to != nil {
		d.tellUnheard(d.Matte(), *to)
	}
	return done
}

// MaskDabWords counts the dabs for a matte's masks on all frames: "2 keep, 4 drop dabs for
// masks"; "" where there are none.
func MaskDabWords(m *study.Matte) string {
	if len(m.MaskDabs) == 0 {
		return ""
	}
	keep, drop := countKinds(m.MaskDabs)
	return fmt.Sprintf("%d keep, %d drop dabs%s", keep, drop, ForMasks.Words())
}
