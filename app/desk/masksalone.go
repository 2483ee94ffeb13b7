package desk

import (
	"fmt"
	"slices"

	"halocline/app/study"
)

// NextLookKey is the key that goes to the next place of the edge worth a look.
const NextLookKey = "N"

// MasksAlone reports whether masks alone make the chosen matte: it has some that are on, no
// dabs of a pick, and all ranges off.
func (d *Desk) MasksAlone() bool {
	m := d.Matte()
	if m == nil || len(m.Dabs) > 0 || slices.ContainsFunc(m.Pick.Limits[:], func(l study.Limit) bool { return !l.Off }) {
		return false
	}
	return slices.ContainsFunc(m.Masks, func(t study.Mask) bool { return !t.Off })
}

// MasksVerdict says of a matte that masks alone make what ends it on the frame shown, and
// what to look at there.
func (d *Desk) MasksVerdict() (sentence, advice string) {
	const look = "Press " + NextLookKey + ": the edge at its worst places."
	m := d.Matte()
	if !m.SearchesEdges(d.Frame) {
		return "Masks alone make it, as they are drawn", look
	}
	var lost []string
	for i := range m.Masks {
		t := &m.Masks[i]
		if !t.Searches(d.Frame) {
			continue
		}
		o, ok := d.OutlineOf(t.ID)
		switch {
		case !ok:
			return "Masks alone make it", "The edge is being looked for."
		case o.Found.Lost:
			lost = append(lost, t.Name)
		}
	}
	if len(lost) > 0 {
		return "Masks alone make it", fmt.Sprintf("No edge found inside ‘%s’: as drawn.", lost[0])
	}
	return "Masks alone make it, led to the edge", look
}
