package desk

import (
	"context"
	"errors"
	"fmt"
	"reflect"

	"halocline/app/render"
	"halocline/app/spare"
	"halocline/app/study"
	"halocline/mask"
)

// Which keys of the chosen mask can go, where it follows the picture.

// A spareAsk asks which keys of a mask can go. One without a study asks for nothing.
type spareAsk struct {
	renderer        *render.Renderer
	study           *study.Study
	matteID, maskID int
}

// A spareSearch is what is known of the keys that can go.
type spareSearch struct {
	of       spareAsk
	track    mask.Track // as the mask was; later without the keys that were taken away
	on       bool       // it is under way
	done, in int        // keys looked at, of how many
	keys     []spare.Key
}

// CanLookForSpareKeys reports whether the chosen mask has keys that might go.
func (d *Desk) CanLookForSpareKeys() bool {
	m := d.Mask()
	return m != nil && d.Several() && !m.Off && len(spare.Candidates(&m.Track)) > 0
}

// LookForSpareKeys looks in the background for keys of the chosen mask that can go.
func (d *Desk) LookForSpareKeys() {
	if !d.CanLookForSpareKeys() {
		return
	}
	d.PauseFollowing(false)
	d.spare = spareSearch{of: spareAsk{d.Work.Renderer, d.Study(), d.MatteID, d.MaskID}, track: d.Mask().Clone(), on: true}
	d.sparer.Ask(d.spare.of)
	d.Learned(NewSpareKeys)
}

// LeaveSpareKeys ends the search for keys that can go, and forgets what it found.
func (d *Desk) LeaveSpareKeys() {
	if d.spare.of.study == nil {
		return
	}
	d.spare = spareSearch{}
	d.sparer.Ask(spareAsk{})
	d.Learned(NewSpareKeys)
}

// SeeksSpareKeys reports whether the search for keys of the chosen mask that can go is under
// way.
func (d *Desk) SeeksSpareKeys() bool { return d.aboutSpare() && d.spare.on }

// SpareKeys are the keys of the chosen mask that can go; not ok while that is not known of the
// mask as it is.
func (d *Desk) SpareKeys() (keys []spare.Key, ok bool) {
	if !d.aboutSpare() || d.spare.on {
		return nil, false
	}
	return d.spare.keys, true
}

// SpareWords say what is known of them; "" for nothing.
func (d *Desk) SpareWords() string {
	switch keys, known := d.SpareKeys(); {
	case d.SeeksSpareKeys() && d.spare.in == 0:
		return "looking"
	case d.SeeksSpareKeys():
		return fmt.Sprintf("key %d of %d", min(d.spare.done+1, d.spare.in), d.spare.in)
	case !known:
		return ""
	case len(keys) == 0:
		return "none can go"
	default:
		return Counted(len(keys), "key") + " can go"
	}
}

// RemoveSpareKeys takes keys of the chosen mask away, in one step.
func (d *Desk) RemoveSpareKeys(frames ...int) {
	keys, ok := d.SpareKeys()
	if !ok {
		return
	}
	label := "Remove keys that can go"
	if len(frames) == 1 {
		label = "Remove key that can go"
	}
	before := d.Study()
	d.EditMask(label, func(t *study.Mask) error {
		for _, n := range frames {
			t.RemoveKey(n)
		}
		return nil
	})
	if d.Study() == before {
		return
	}
	left := keys[:0:0]
	for _, k := range keys {
		if HasKey(&d.Mask().Track, k.Frame) {
			left = append(left, k)
		}
	}
	d.spare.keys, d.spare.track = left, d.Mask().Clone()
	d.Learned(NewSpareKeys)
}

// aboutSpare reports whether what is known, or looked for, is about the chosen mask as it is.
func (d *Desk) aboutSpare() bool {
	m := d.Mask()
	return m != nil && d.Work != nil && d.spare.of.renderer == d.Work.Renderer && d.spare.of.matteID == d.MatteID && d.spare.of.maskID == d.MaskID &&
		reflect.DeepEqual(d.spare.track, m.Track) && d.sameSearch(d.spare.of.study)
}

// sameSearch reports whether the search for edges reads the same as in another study: base, and
// the chosen matte's dabs for masks.
func (d *Desk) sameSearch(s *study.Study) bool {
	if s == d.Study() {
		return true
	}
	m := s.Matte(d.MatteID)
	return m != nil && reflect.DeepEqual(s.Base, d.Study().Base) && reflect.DeepEqual(m.MaskDabs, d.Matte().MaskDabs)
}

// dropSpareKeys ends a search for keys of a mask that is another by now.
func (d *Desk) dropSpareKeys() {
	if d.spare.on && !d.Dragging() && !d.aboutSpare() {
		d.LeaveSpareKeys()
	}
}

// findSpareKeys works for the desk's sparer.
func (d *Desk) findSpareKeys(ctx context.Context, q spareAsk) {
	if q.study == nil {
		return
	}
	tell := func(done, of int) {
		d.Post(func() {
			if d.spare.of == q && d.spare.on {
				d.spare.done, d.spare.in = done, of
				d.Learned(NewSpareKeys)
			}
		})
	}
	keys, err := spare.Find(ctx, q.renderer, q.study, q.matteID, q.maskID, tell)
	if errors.Is(err, context.Canceled) {
		return
	}
	d.Post(func() {
		if d.spare.of != q || !d.spare.on {
			return
		}
		if err != nil {
			d.LeaveSpareKeys()
			d.fail("Keys that can go", err)
			return
		}
		d.spare.on, d.spare.keys = false, keys
		d.Learned(NewSpareKeys)
	})
}
