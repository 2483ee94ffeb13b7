package desk

import (
	"slices"

	"halocline/app/retrace"
	"halocline/app/study"
	"halocline/mask"
)

// FollowOn is what the act is called that follows from the frame shown alone.
const FollowOn = "Follow on from here"

// CanFollowOn reports whether the chosen mask can be followed from the frame shown alone.
func (d *Desk) CanFollowOn() bool {
	m := d.Mask()
	switch {
	case m == nil || !d.Several():
		return false
	case HasKey(&m.Track, d.Frame):
		return m.After != mask.Follows || !isLast(&m.Track, mask.Key{Frame: d.Frame})
	}
	return !d.Follows(m.ID) || d.CanTakeOutline()
}

// FollowOnFromHere has the chosen mask follow the picture from the frame shown to the end, from
// the outline here alone: a key is made of it, as it was found where it follows; keys after it go. For when what
// comes later was set by a key that is wrong. What lies before stays.
func (d *Desk) FollowOnFromHere() {
	id, frame, gone := d.MaskID, d.Frame, 0
	var taken *retrace.Taken
	done := d.Edit(FollowOn, withMatte(func(s *study.Study, m *study.Matte) (err error) {
		if taken, err = d.keyFollowed(s, m, id, mask.Here); err != nil {
			return err
		}
		return OnMask(m, id, func(t *study.Mask) error {
			t.MakeKey(frame)
			n := len(t.Keys)
			t.Keys = slices.DeleteFunc(t.Keys, func(k study.MaskKey) bool { return k.Frame > frame })
			gone = n - len(t.Keys)
			t.After = mask.Follows
			return nil
		})
	}))
	if !done {
		return
	}
	if taken != nil {
		if words := takenWords(taken); words != "" {
			d.Note(words)
		}
	}
	if gone > 0 {
		d.Note(Counted(gone, "key") + " after this frame went: the mask follows on from here")
	}
}
