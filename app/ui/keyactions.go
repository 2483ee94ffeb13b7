package ui

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/mask"
)

// keyActions are those of the table that are about keys.
func (w *window) keyActions() []*action {
	d := w.desk
	beside := func(by int) func() bool {
		return func() bool { _, ok := d.KeyBeside(by, w.column.ValueInFocus()); return ok }
	}
	overTime := func() bool { return d.Mask() != nil && w.desk.Several() }
	moves := func(r mask.Reach) func() bool {
		return func() bool { return overTime() && d.Reach == r }
	}
	return []*action{
		{menu: "Edit", label: "Key for this value", key: fyne.KeyK, mods: ctrl, enabled: func() bool { return w.column.CanTurnKey() }, run: func() { w.column.TurnKey() }, group: true},
		{menu: "Mask", label: "Previous key", key: fyne.KeyPageUp, enabled: beside(-1), run: func() { w.column.GoToKey(-1) }, group: true},
		{menu: "Mask", label: "Next key", key: fyne.KeyPageDown, enabled: beside(1), run: func() { w.column.GoToKey(1) }},
		{menu: "Mask", label: "Add key", key: fyne.KeyA, enabled: w.desk.CanAddKey, run: w.desk.AddKeyHere},
		{menu: "Mask", label: "Remove key", key: fyne.KeyA, mods: shift, enabled: w.desk.CanRemoveKey, run: w.desk.RemoveKeyHere},
		{menu: "Mask", label: "Copy key to here…", enabled: func() bool { return len(w.desk.OtherKeys()) > 0 }, run: w.askKeyToCopy},
		{menu: "Mask", label: desk.FollowOn, enabled: d.CanFollowOn, run: d.FollowOnFromHere},
		{menu: "Mask", label: "Pause following", enabled: d.CanPauseFollowing, checked: d.FollowingPaused, run: func() { d.PauseFollowing(!d.FollowingPaused()) }},
		{menu: "Mask", label: "Neighbour keys shown", enabled: overTime, checked: func() bool { return overTime() && !d.HideNeighbours }, run: w.desk.ToggleNeighbours},
		{menu: "Mask", label: "Move this key alone", enabled: overTime, checked: moves(mask.Here), run: func() { w.desk.SetReach(mask.Here) }, group: true},
		{menu: "Mask", label: "Move from here on", key: fyne.KeyO, enabled: overTime, checked: moves(mask.Onward), run: func() { w.desk.TurnReach(mask.Onward) }},
		{menu: "Mask", label: "Move in every key", key: fyne.KeyE, enabled: overTime, checked: moves(mask.Everywhere), run: func() { w.desk.TurnReach(mask.Everywhere) }},
	}
}
