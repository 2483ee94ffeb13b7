package desk

import (
	"halocline/app/study"
	"halocline/mask"
)

// ReachNames say which keys of a mask a move changes, in the order of
// mask.Reach.
var ReachNames = []string{"this key", "from here", "every key"}

// EditReach is which keys of the chosen mask an edit changes. On one frame there is
// nothing to choose: all keys are the same.
func (d *Desk) EditReach() mask.Reach {
	if !d.Several() {
		return mask.Everywhere
	}
	return d.Reach
}

// SetReach says which keys of a mask a move changes.
func (d *Desk) SetReach(r mask.Reach) { d.Set(func() { d.Reach = r }) }

// TurnReach goes to a reach, or back from it to one key alone.
func (d *Desk) TurnReach(r mask.Reach) {
	if d.Reach == r {
		r = mask.Here
	}
	d.SetReach(r)
}

// MovesMany reports whether moves change several keys of the chosen mask at once, of
// which the user is warned.
func (d *Desk) MovesMany() bool {
	return d.Step == StepMasks && d.Several() && d.Mask() != nil && d.Reach != mask.Here
}

// MakesKey reports whether a move of the chosen mask would make a key.
func (d *Desk) MakesKey() bool {
	m := d.Mask()
	return m != nil && d.EditReach() != mask.Everywhere && !HasKey(&m.Track, d.Frame)
}

// Reaches reports whether a move would change a mask's key at a frame besides
// the one shown.
func (d *Desk) Reaches(maskID, frame int) bool {
	return d.MovesMany() && maskID == d.MaskID && (d.Reach == mask.Everywhere || frame >= d.Frame)
}

// KeysReached is how many keys of a mask a move would change.
func (d *Desk) KeysReached(m *study.Mask) int {
	n := 0
	for _, k := range m.Keys {
		if d.Reaches(m.ID, k.Frame) {
			n++
		}
	}
	return n
}

// ToggleNeighbours shows a mask's neighbour keys, or hides them.
func (d *Desk) ToggleNeighbours() {
	d.Set(func() { d.HideNeighbours = !d.HideNeighbours })
}
