package ui

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/mask"
)

// A keyControl is the notch beside a value: it makes and removes the value's
// key at the frame shown.
type keyControl struct {
	*look.Notch
	w     *window
	id    desk.ValueID
	relay func()                    // lays out anew what the control stands among; may be nil
	holds func(fyne.Focusable) bool // whether what has the keyboard is of the value; nil: the notch alone
}

// newKeyControl makes a value's control. It is hidden until a clip of several
// frames is open.
func (w *window) newKeyControl(id desk.ValueID) *keyControl {
	k := &keyControl{w: w, id: id}
	k.Notch = look.NewNotch(id.Words(), k.turn, k.openMenu)
	k.Hide()
	w.keyControls = append(w.keyControls, k)
	return k
}

// onRow puts the control on a value's row.
func (k *keyControl) onRow(r *look.ValueRow) {
	r.SetNotch(k.Notch)
	k.relay, k.holds = r.Refresh, r.Holds
}

// value is what the control is of, as it is now: to be read only.
func (k *keyControl) value() desk.OverTime {
	return desk.ValueOf(k.w.desk.Study(), k.w.desk.Matte(), k.id)
}

func (k *keyControl) display() {
	v := k.value()
	if there := v != nil && k.w.desk.Several(); there != k.Visible() {
		look.Show(k.Notch, there)
		if k.relay != nil {
			k.relay()
		}
	}
	if v == nil {
		return
	}
	keys, name := desk.FramesIn(v.Keys()), k.id.Words()
	switch {
	case len(keys) == 0:
		k.Set(look.Constant)
		k.SetHint("The same on all frames. Press: " + name + " gets a key here, and may change over time")
	case slices.Contains(keys, k.w.desk.Frame):
		k.Set(look.Here)
		k.SetHint(fmt.Sprintf("A key of %s, one of %d. Press: it goes. Right button: more", name, len(keys)))
	default:
		k.Set(look.Elsewhere)
		k.SetHint(fmt.Sprintf("%s has %s, none here. Press, or change the value: a key here. Right button: more", desk.Capital(name), desk.Counted(len(keys), "key")))
	}
}

// edit makes an edit that changes the value over time.
func (k *keyControl) edit(label string, change func(v desk.OverTime)) {
	k.w.desk.Edit(fmt.Sprintf("%s: %s", k.id.Label(), label), func(s *study.Study, m *study.Matte) error {
		v := desk.ValueOf(s, m, k.id)
		if v == nil {
			return desk.ErrNoMatte
		}
		change(v)
		return nil
	})
}

// turn makes a key here, or takes it away.
func (k *keyControl) turn() {
	frame := k.w.desk.Frame
	if v := k.value(); v != nil && slices.Contains(desk.FramesIn(v.Keys()), frame) {
		k.edit("remove key", func(v desk.OverTime) { v.Remove(frame) })
		return
	}
	k.edit("add key", func(v desk.OverTime) { v.Add(frame) })
}

// openMenu offers all that can be done to the value's keys.
func (k *keyControl) openMenu(at fyne.Position) {
	w, v := k.w, k.value()
	if v == nil {
		return
	}
	keys, frame := v.Keys(), w.desk.Frame
	turn := "Add key"
	if slices.Contains(desk.FramesIn(keys), frame) {
		turn = "Remove key"
	}
	before, leading, after := around(keys, frame)
	items := []*fyne.MenuItem{
		fyne.NewMenuItem(turn, k.turn),
		k.goItem("Previous key", before), k.goItem("Next key", after),
		fyne.NewMenuItemSeparator(),
	}
	if leading != nil {
		for _, way := range ways {
			i := fyne.NewMenuItem(fmt.Sprintf("After key %d: %v", leading.Frame, way), func() {
				k.edit(fmt.Sprintf("%v after key", way), func(v desk.OverTime) { v.SetWay(leading.Frame, way) })
			})
			i.Checked = leading.Way == way
			items = append(items, i)
		}
		items = append(items, fyne.NewMenuItemSeparator())
	}
	constant := fyne.NewMenuItem("Make constant", func() {
		k.edit("constant", func(v desk.OverTime) { v.Fix(frame) })
	})
	constant.Disabled = len(keys) == 0
	widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", append(items, constant)...), w.win.Canvas(), at)
}

// around are the keys about a frame: the nearest before it, the one that leads
// to it or stands on it, the nearest after it; nil where there is none.
func around(keys []desk.TimedKey, frame int) (before, leading, after *desk.TimedKey) {
	for i := range keys {
		k := &keys[i]
		if k.Frame < frame {
			before = k
		}
		if k.Frame <= frame {
			leading = k
		}
		if k.Frame > frame && after == nil {
			after = k
		}
	}
	return before, leading, after
}

// goItem is a menu's way to a key; disabled where there is none.
func (k *keyControl) goItem(label string, to *desk.TimedKey) *fyne.MenuItem {
	i := fyne.NewMenuItem(label, func() {
		if to != nil {
			k.w.desk.GoToFrame(to.Frame)
		}
	})
	i.Disabled = to == nil
	return i
}

// ways are how a value may travel after a key, as they are offered.
var ways = []mask.Way{mask.Step, mask.Straight, mask.Curved}

// controlInFocus is the control of the value that has the keyboard; nil for none.
func (w *window) controlInFocus() *keyControl {
	f := w.win.Canvas().Focused()
	if f == nil {
		return nil
	}
	for _, k := range w.keyControls {
		if k.Visible() && (f == fyne.Focusable(k.Notch) || k.holds != nil && k.holds(f)) {
			return k
		}
	}
	return nil
}

// valueInFocus is the value that has the keyboard; nil for none, and for one
// that does not change over time.
func (w *window) valueInFocus() desk.OverTime {
	if k := w.controlInFocus(); k != nil {
		if v := k.value(); v != nil && len(v.Keys()) > 0 {
			return v
		}
	}
	return nil
}

// turnValue makes a key of the value that has the keyboard, or takes it away.
func (w *window) turnValue() {
	if k := w.controlInFocus(); k != nil {
		k.turn()
	}
}
