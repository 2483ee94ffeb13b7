package panels

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
	desk  *desk.Desk
	host  Host
	id    desk.ValueID
	relay func()                    // lays out anew what the control stands among; may be nil
	holds func(fyne.Focusable) bool // whether what has the keyboard is of the value; nil: the notch alone
}

// onRow puts the control on a value's row.
func (k *keyControl) onRow(r *look.ValueRow) {
	r.SetNotch(k.Notch)
	k.relay, k.holds = r.Refresh, r.Holds
}

// value is what the control is of, as it is now: to be read only.
func (k *keyControl) value() desk.OverTime {
	return desk.ValueOf(k.desk.Study(), k.desk.Matte(), k.id)
}

func (k *keyControl) display() {
	v := k.value()
	if there := v != nil && k.desk.Several(); there != k.Visible() {
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
	case slices.Contains(keys, k.desk.Frame):
		k.Set(look.Here)
		k.SetHint(fmt.Sprintf("A key of %s, one of %d. Press: it goes. Right button: more", name, len(keys)))
	default:
		k.Set(look.Elsewhere)
		k.SetHint(fmt.Sprintf("%s has %s, none here. Press, or change the value: a key here. Right button: more", desk.Capital(name), desk.Counted(len(keys), "key")))
	}
}

// edit makes an edit that changes the value over time.
func (k *keyControl) edit(label string, change func(v desk.OverTime)) {
	k.desk.Edit(fmt.Sprintf("%s: %s", k.id.Label(), label), func(s *study.Study, m *study.Matte) error {
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
	frame := k.desk.Frame
	if v := k.value(); v != nil && slices.Contains(desk.FramesIn(v.Keys()), frame) {
		k.edit("remove key", func(v desk.OverTime) { v.Remove(frame) })
		return
	}
	k.edit("add key", func(v desk.OverTime) { v.Add(frame) })
}

// openMenu offers all that can be done to the value's keys.
func (k *keyControl) openMenu(at fyne.Position) {
	d, v := k.desk, k.value()
	if v == nil {
		return
	}
	keys, frame := v.Keys(), d.Frame
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
	widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", append(items, constant)...), k.host.Canvas(), at)
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
			k.desk.GoToFrame(to.Frame)
		}
	})
	i.Disabled = to == nil
	return i
}

// ways are how a value may travel after a key, as they are offered; maskWays how a mask may, which
// can follow the picture too.
var (
	ways     = []mask.Way{mask.Step, mask.Straight, mask.Curved}
	maskWays = append(slices.Clone(ways), mask.Follow)
)
