package panels

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// values are the controls of all values that can change over time.
type values struct {
	desk     *desk.Desk
	host     Host
	controls []*keyControl
}

// newControl makes a value's control. It is hidden until a clip of several
// frames is open.
func (v *values) newControl(id desk.ValueID) *keyControl {
	k := &keyControl{desk: v.desk, host: v.host, id: id}
	k.Notch = look.NewNotch(id.Words(), k.turn, k.openMenu)
	k.Hide()
	v.controls = append(v.controls, k)
	return k
}

// inFocus is the control of the value that has the keyboard; nil for none.
func (v *values) inFocus() *keyControl {
	f := v.host.Canvas().Focused()
	if f == nil {
		return nil
	}
	for _, k := range v.controls {
		if k.Visible() && (f == fyne.Focusable(k.Notch) || k.holds != nil && k.holds(f)) {
			return k
		}
	}
	return nil
}

// keyed is the value that has the keyboard; nil for none, and for one that does
// not change over time.
func (v *values) keyed() desk.OverTime {
	if k := v.inFocus(); k != nil {
		if value := k.value(); value != nil && len(value.Keys()) > 0 {
			return value
		}
	}
	return nil
}

// goToKey goes to the next key, or with -1 to the one before: of the value that has
// the keyboard, else of the open step.
func (v *values) goToKey(by int) {
	if frame, ok := v.desk.KeyBeside(by, v.keyed()); ok {
		v.desk.GoToFrame(frame)
	}
}

// CanTurnKey reports whether a value that can change over time has the keyboard.
func (c *Column) CanTurnKey() bool { return c.values.inFocus() != nil }

// ValueInFocus is the value that has the keyboard; nil for none, and for one that
// does not change over time.
func (c *Column) ValueInFocus() desk.OverTime { return c.values.keyed() }

// TurnKey makes a key of the value that has the keyboard at the frame shown, or
// takes it away.
func (c *Column) TurnKey() {
	if k := c.values.inFocus(); k != nil {
		k.turn()
	}
}

// GoToKey goes to the next key, or with -1 to the one before: of the value that has
// the keyboard, else of the open step.
func (c *Column) GoToKey(by int) { c.values.goToKey(by) }
