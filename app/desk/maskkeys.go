package desk

import (
	"fmt"
	"slices"

	"halocline/app/study"
	"halocline/mask"
)

// What can be done to the keys of the chosen mask, at the frame shown.

// HasKey reports whether a mask has a key at a frame.
func HasKey(t *mask.Track, frame int) bool {
	return slices.ContainsFunc(t.Keys, func(k mask.Key) bool { return k.Frame == frame })
}

// KeyLeading returns the key that leads to a frame, or stands on it; ok is
// false before the first.
func KeyLeading(t *mask.Track, frame int) (k mask.Key, ok bool) {
	for i := range t.Keys {
		if t.Keys[i].Frame <= frame {
			k, ok = t.Keys[i], true
		}
	}
	return k, ok
}

// FramesOf returns the frames of a mask's keys, ascending.
func FramesOf(t *mask.Track) []int {
	frames := make([]int, len(t.Keys))
	for i, k := range t.Keys {
		frames[i] = k.Frame
	}
	return frames
}

// HasFrame reports whether the footage has a frame.
func (d *Desk) HasFrame(n int) bool {
	return d.Work != nil && d.Work.Clip != nil && d.Work.Clip.Has(n)
}

// AddKeyHere makes a key of the shape that the chosen mask has here; where it follows the
// picture, as it was found.
func (d *Desk) AddKeyHere() {
	if d.Follows(d.MaskID) && !d.lost(d.MaskID) {
		d.TakeOutline()
		return
	}
	frame := d.Frame
	d.EditMask("Add key", func(t *study.Mask) error {
		t.Change(frame, mask.Here, func(*mask.Key) {})
		return nil
	})
}

// RemoveKeyHere takes the chosen mask's key at the frame shown away. The
// last one stays: a mask has a shape.
func (d *Desk) RemoveKeyHere() {
	frame := d.Frame
	d.EditMask("Remove key", func(t *study.Mask) error {
		t.RemoveKey(frame)
		return nil
	})
}

// CanAddKey reports whether the chosen mask can get a key at the frame shown.
func (d *Desk) CanAddKey() bool {
	m := d.Mask()
	return d.Several() && m != nil && !HasKey(&m.Track, d.Frame)
}

// CanRemoveKey reports whether the chosen mask has a key at the frame shown that can go.
func (d *Desk) CanRemoveKey() bool {
	m := d.Mask()
	return m != nil && len(m.Keys) > 1 && HasKey(&m.Track, d.Frame)
}

// OtherKeys are the frames of the chosen mask's keys elsewhere.
func (d *Desk) OtherKeys() []int {
	m := d.Mask()
	if m == nil || !d.Several() {
		return nil
	}
	return slices.DeleteFunc(FramesOf(&m.Track), func(f int) bool { return f == d.Frame })
}

// CopyKeyHere gives the chosen mask the key of another frame here.
func (d *Desk) CopyKeyHere(from int) {
	frame := d.Frame
	d.EditMask("Copy key", func(t *study.Mask) error {
		if t.CopyKey(from, frame) {
			return nil
		}
		return fmt.Errorf("the mask has no key at frame %d", from)
	})
}

// SetWay says how the mask travels after the key that leads to the frame
// shown. After the last one it follows the picture, or stays as there until a key comes.
func (d *Desk) SetWay(way mask.Way) {
	frame := d.Frame
	d.EditMask(fmt.Sprintf("After key: %v", way), func(t *study.Mask) error {
		k, ok := KeyLeading(&t.Track, frame)
		if !ok {
			return nil
		}
		k.Way = way
		t.SetKey(k)
		if isLast(&t.Track, k) {
			t.After = mask.Beyond(way == mask.Follow)
		}
		return nil
	})
}

// WayAfter is how a mask travels after one of its keys.
func (d *Desk) WayAfter(m *study.Mask, k mask.Key) mask.Way {
	switch {
	case !isLast(&m.Track, k):
		return k.Way
	case m.After == mask.Follows:
		return mask.Follow
	case k.Way == mask.Follow:
		return mask.Straight // nothing is followed until a key comes
	}
	return k.Way
}

func isLast(t *mask.Track, k mask.Key) bool { return k.Frame == t.Keys[len(t.Keys)-1].Frame }

// SetBefore says what the chosen mask's outline does before its first key.
func (d *Desk) SetBefore(b mask.Beyond) {
	d.EditMask(fmt.Sprintf("Before the keys: %v", b), func(t *study.Mask) error {
		t.Before = b
		return nil
	})
}

// SetIn makes a frame the first on which the chosen mask works. The clip's own first
// frame is no limit; a last frame before it gives way.
func (d *Desk) SetIn(frame int) {
	d.EditMask("First frame of mask", func(t *study.Mask) error {
		t.In = study.Bound{}
		if frame > d.Work.Clip.First() {
			t.In = study.Bound{Set: true, Frame: frame}
		}
		if t.Out.Set {
			t.Out.Frame = max(t.Out.Frame, frame)
		}
		return nil
	})
}

// SetOut makes a frame the last on which the chosen mask works. The clip's own last
// frame is no limit; a first frame after it gives way.
func (d *Desk) SetOut(frame int) {
	d.EditMask("Last frame of mask", func(t *study.Mask) error {
		t.Out = study.Bound{}
		if frame < d.Work.Clip.Last() {
			t.Out = study.Bound{Set: true, Frame: frame}
		}
		if t.In.Set {
			t.In.Frame = min(t.In.Frame, frame)
		}
		return nil
	})
}

// newKeys says where the edit made last has made keys, "" for nowhere: who moves a
// vertex between two keys may not be aware that it becomes one.
func (d *Desk) newKeys() string {
	if !d.Several() || d.last == nil {
		return ""
	}
	var made []string
	now, before := d.Matte(), d.last.Matte(d.MatteID)
	if now != nil && before != nil {
		for i := range now.Masks {
			m := &now.Masks[i]
			old := before.Mask(m.ID)
			if old != nil && len(m.Keys) > len(old.Keys) && HasKey(&m.Track, d.Frame) && !HasKey(&old.Track, d.Frame) {
				made = append(made, "‘"+m.Name+"’")
			}
		}
	}
	made = append(made, newValueKeys(d.last, d.Study(), d.MatteID, d.Frame)...)
	switch len(made) {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("%s: key made at frame %d", made[0], d.Frame)
	}
	return fmt.Sprintf("%d keys made at frame %d", len(made), d.Frame)
}

// KeyBeside is the frame of the nearest key that the user goes through, after
// the frame shown or before it; ok is false where there is none.
func (d *Desk) KeyBeside(by int, inHand OverTime) (frame int, ok bool) {
	for _, f := range d.KeyFramesNear(inHand) {
		if !d.HasFrame(f) {
			continue // a gap in the footage
		}
		switch {
		case by > 0 && f > d.Frame:
			return f, true
		case by < 0 && f < d.Frame:
			frame, ok = f, true
		}
	}
	return frame, ok
}

// KeyFramesNear are the frames of the keys that the user goes through,
// ascending: those of the value that has the keyboard; else of the chosen mask
// while Masks is open; else of the open step's values; else of the mask.
func (d *Desk) KeyFramesNear(inHand OverTime) []int {
	m := d.Mask()
	if inHand != nil {
		return FramesIn(inHand.Keys())
	}
	if d.Step != StepMasks || m == nil {
		var all []int
		for _, v := range d.KeyedValues() {
			if v.ID.Step == d.Step {
				all = append(all, FramesIn(v.Keys)...)
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
	return FramesOf(&m.Track)
}
