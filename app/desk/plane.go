package desk

import "halocline/selection"

// PlaneOffer says how much better a plane would tell the chosen matte's dabs apart than its
// ranges, where that is worth trying; else, and while it is not known, "".
func (d *Desk) PlaneOffer() string {
	m, s := d.Matte(), d.Found.Separation
	if m == nil || s == nil || d.Found.MatteID != m.ID || m.Pick.Model == selection.PlaneModel {
		return ""
	}
	return s.Offer()
}
