package ui

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/mask"
)

// What can be done to the keys of the chosen mask, at the frame shown.

// hasKey reports whether a mask has a key at a frame.
func hasKey(t *mask.Track, frame int) bool {
	return slices.ContainsFunc(t.Keys, func(k mask.Key) bool { return k.Frame == frame })
}

// keyLeading returns the key that leads to a frame, or stands on it; ok is
// false before the first.
func keyLeading(t *mask.Track, frame int) (k mask.Key, ok bool) {
	for i := range t.Keys {
		if t.Keys[i].Frame <= frame {
			k, ok = t.Keys[i], true
		}
	}
	return k, ok
}

// framesOf returns the frames of a mask's keys, ascending.
func framesOf(t *mask.Track) []int {
	frames := make([]int, len(t.Keys))
	for i, k := range t.Keys {
		frames[i] = k.Frame
	}
	return frames
}

// keyBeside is the frame of the nearest key that the user goes through, after
// the frame shown or before it; ok is false where there is none.
func (w *window) keyBeside(by int) (frame int, ok bool) {
	for _, f := range w.keyFramesNear() {
		if !w.hasFrame(f) {
			continue // a gap in the footage
		}
		switch {
		case by > 0 && f > w.desk.Frame:
			return f, true
		case by < 0 && f < w.desk.Frame:
			frame, ok = f, true
		}
	}
	return frame, ok
}

// hasFrame reports whether the footage has a frame.
func (w *window) hasFrame(n int) bool {
	return w.desk.Work != nil && w.desk.Work.Clip != nil && w.desk.Work.Clip.Has(n)
}

// goToKey goes to the next key, or with -1 to the one before.
func (w *window) goToKey(by int) {
	if f, ok := w.keyBeside(by); ok {
		w.goToFrame(f)
	}
}

// keyFramesNear are the frames of the keys that the user goes through,
// ascending: those of the value that has the keyboard; else of the chosen mask
// while Masks is open; else of the open step's values; else of the mask.
func (w *window) keyFramesNear() []int {
	m := w.desk.Mask()
	if v := w.valueInFocus(); v != nil {
		return framesIn(v.keys())
	}
	if w.desk.Step != StepMasks || m == nil {
		var all []int
		for _, v := range w.keyedValues() {
			if v.id.step == w.desk.Step {
				all = append(all, framesIn(v.keys)...)
			}
		}
		if len(all) > 0 {
			slices.Sort(all)
			return slices.Compact(all)
		}
	}
	if m == nil {
		return nil
	}
	return framesOf(&m.Track)
}

// addKeyHere makes a key of the shape that the chosen mask has here.
func (w *window) addKeyHere() {
	frame := w.desk.Frame
	w.editMask("Add key", func(t *study.Mask) error {
		t.Change(frame, mask.Here, func(*mask.Key) {})
		return nil
	})
}

// removeKeyHere takes the chosen mask's key at the frame shown away. The
// last one stays: a mask has a shape.
func (w *window) removeKeyHere() {
	frame := w.desk.Frame
	w.editMask("Remove key", func(t *study.Mask) error {
		t.RemoveKey(frame)
		return nil
	})
}

// canAddKey and canRemoveKey say what there is to do at the frame shown.
func (w *window) canAddKey() bool {
	m := w.desk.Mask()
	return w.several() && m != nil && !hasKey(&m.Track, w.desk.Frame)
}

func (w *window) canRemoveKey() bool {
	m := w.desk.Mask()
	return m != nil && len(m.Keys) > 1 && hasKey(&m.Track, w.desk.Frame)
}

// otherKeys are the frames of the chosen mask's keys elsewhere.
func (w *window) otherKeys() []int {
	m := w.desk.Mask()
	if m == nil || !w.several() {
		return nil
	}
	return slices.DeleteFunc(framesOf(&m.Track), func(f int) bool { return f == w.desk.Frame })
}

// copyKeyHere gives the chosen mask the key of another frame here.
func (w *window) copyKeyHere(from int) {
	frame := w.desk.Frame
	w.editMask("Copy key", func(t *study.Mask) error {
		if t.CopyKey(from, frame) {
			return nil
		}
		return fmt.Errorf("the mask has no key at frame %d", from)
	})
}

// askKeyToCopy asks which key is to be copied to the frame shown.
func (w *window) askKeyToCopy() {
	var s *sheet
	list := look.VBox(0)
	for _, f := range w.otherKeys() {
		text := look.NewLabel(fmt.Sprintf("the key at frame %d", f), look.Style{Size: look.BodySize, Colour: look.Text})
		list.Add(newPressable(look.Pad(8, 2, 8, 2, text), fyne.NewSize(0, 26), "", func() {
			s.close()
			w.copyKeyHere(f)
		}))
	}
	cancel := look.NewButton("Cancel", func() { s.close() })
	s = w.openSheet("Copy key to here", fmt.Sprintf("The shape of which key shall frame %d have?", w.desk.Frame),
		container.NewVScroll(list), fyne.NewSize(420, 360), buttons(nil, cancel), cancel)
}

// setWay says how the mask travels after the key that leads to the frame
// shown.
func (w *window) setWay(way mask.Way) {
	frame := w.desk.Frame
	w.editMask(fmt.Sprintf("After key: %v", way), func(t *study.Mask) error {
		if k, ok := keyLeading(&t.Track, frame); ok {
			k.Way = way
			t.SetKey(k)
		}
		return nil
	})
}

// setIn and setOut limit the frames on which the chosen mask works. The clip's
// own ends are no limits.
func (w *window) setIn(frame int) {
	w.editMask("First frame of mask", func(t *study.Mask) error {
		t.In = study.Bound{}
		if frame > w.desk.Work.Clip.First() {
			t.In = study.Bound{Set: true, Frame: frame}
		}
		if t.Out.Set {
			t.Out.Frame = max(t.Out.Frame, frame)
		}
		return nil
	})
}

func (w *window) setOut(frame int) {
	w.editMask("Last frame of mask", func(t *study.Mask) error {
		t.Out = study.Bound{}
		if frame < w.desk.Work.Clip.Last() {
			t.Out = study.Bound{Set: true, Frame: frame}
		}
		if t.In.Set {
			t.In.Frame = min(t.In.Frame, frame)
		}
		return nil
	})
}

// noteNewKeys says in the status row where the edit made last has made keys:
// who moves a vertex between two keys may not be aware that it becomes one.
func (w *window) noteNewKeys() {
	d := w.desk
	if !w.several() || d.last == nil {
		return
	}
	var made []string
	now, before := d.Matte(), d.last.Matte(d.MatteID)
	if now != nil && before != nil {
		for i := range now.Masks {
			m := &now.Masks[i]
			old := before.Mask(m.ID)
			if old != nil && len(m.Keys) > len(old.Keys) && hasKey(&m.Track, d.Frame) && !hasKey(&old.Track, d.Frame) {
				made = append(made, "‘"+m.Name+"’")
			}
		}
	}
	made = append(made, newValueKeys(d.last, d.Study(), d.MatteID, d.Frame)...)
	switch len(made) {
	case 0:
	case 1:
		w.status.note(fmt.Sprintf("%s: key made at frame %d", made[0], d.Frame))
	default:
		w.status.note(fmt.Sprintf("%d keys made at frame %d", len(made), d.Frame))
	}
}
