package desk

import (
	"halocline/app/study"
	"halocline/mask"
)

// What can be done to any lane's keys, from the time area.

// ValuesLane is the id of the lane of values; those of masks are the masks' own,
// which are above 0.
const ValuesLane = -1

// A keyRow is what a lane shows the keys of.
type keyRow interface {
	move(from, to int)
	copy(from, to int)
	add(frame int)
	remove(frame int)
}

// maskRow are the keys of a mask.
type maskRow struct{ *mask.Track }

func (r maskRow) move(from, to int) { r.MoveKey(from, to) }
func (r maskRow) copy(from, to int) { r.CopyKey(from, to) }
func (r maskRow) add(frame int)     { r.Change(frame, mask.Here, func(*mask.Key) {}) }
func (r maskRow) remove(frame int)  { r.RemoveKey(frame) }

// valueRow are the keys of all values that change over time, as one.
type valueRow []OverTime

func (r valueRow) move(from, to int) { r.each(func(v OverTime) { v.Move(from, to) }) }
func (r valueRow) copy(from, to int) { r.each(func(v OverTime) { v.Copy(from, to) }) }
func (r valueRow) add(frame int)     { r.each(func(v OverTime) { v.Add(frame) }) }
func (r valueRow) remove(frame int)  { r.each(func(v OverTime) { v.Remove(frame) }) }

func (r valueRow) each(do func(OverTime)) {
	for _, v := range r {
		do(v)
	}
}

// keyedIn are the values of a study and its matte that change over time.
func keyedIn(s *study.Study, m *study.Matte) (r valueRow) {
	for _, id := range ValueIDs() {
		if v := ValueOf(s, m, id); v != nil && len(v.Keys()) > 0 {
			r = append(r, v)
		}
	}
	return r
}

// onLane is a change of a lane's keys.
func onLane(lane int, change func(keyRow)) func(*study.Study, *study.Matte) error {
	return func(s *study.Study, m *study.Matte) error {
		if lane == ValuesLane {
			change(keyedIn(s, m))
			return nil
		}
		return OnMask(m, lane, func(t *study.Mask) error {
			change(maskRow{&t.Track})
			return nil
		})
	}
}

// MoveKey puts a key on another frame, or a copy of it; each change of a drag is
// of the keys as they were when it began.
func (d *Desk) MoveKey(lane, from, to int, copied bool, p study.Phase) {
	label, change := "Move key", func(r keyRow) { r.move(from, to) }
	if copied {
		label, change = "Copy key", func(r keyRow) { r.copy(from, to) }
	}
	d.Slide(label, p, onLane(lane, change))
}

// AddKey makes a key of what there is at a frame. Where a mask follows the picture that is
// known of the frame shown alone: the others are gone to.
func (d *Desk) AddKey(lane, frame int) {
	if m := d.Matte(); lane != ValuesLane && m != nil && m.Mask(lane) != nil && m.Mask(lane).StretchAt(frame) != nil {
		d.MaskID = lane
		if frame == d.Frame {
			d.AddKeyHere()
			return
		}
		d.GoToFrame(frame)
		d.Note("This mask follows the picture here: ‘" + KeyAsFound + "’ makes the key")
		return
	}
	d.Edit("Add key", onLane(lane, func(r keyRow) { r.add(frame) }))
}

// RemoveKey takes a key away. A mask's last one stays: a mask has a shape.
func (d *Desk) RemoveKey(lane, frame int) {
	if m := d.Matte(); lane != ValuesLane && m != nil && m.Mask(lane) != nil && len(m.Mask(lane).Keys) == 1 {
		d.Report(Problem{What: "The last key stays: a mask has a shape", ToDo: "Delete the mask itself instead."})
		return
	}
	d.Edit("Remove key", onLane(lane, func(r keyRow) { r.remove(frame) }))
}
