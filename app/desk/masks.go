package desk

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"halocline/app/proof"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/mask"
	"halocline/mask/edge"
)

// What can be done to masks as wholes.

// EditMask is Edit for a change of the chosen mask alone.
func (d *Desk) EditMask(label string, change func(t *study.Mask) error) bool {
	id := d.MaskID
	return d.EditMatte(label, func(m *study.Matte) error { return OnMask(m, id, change) })
}

// OnMask makes a change of a matte's mask by its id; an error where there is none, or no
// matte.
func OnMask(m *study.Matte, id int, change func(t *study.Mask) error) error {
	if m == nil {
		return errors.New("there is no matte")
	}
	t := m.Mask(id)
	if t == nil {
		return errors.New("there is no such mask")
	}
	return change(t)
}

// newSearch is how deep below the line of a new keep mask the subject's edge lies, in px:
// about as far outside of a subject as a hand draws.
func (d *Desk) newSearch() float64 {
	const upTo1080Lines = 24
	if d.Clip() == nil {
		return upTo1080Lines
	}
	return math.Round(upTo1080Lines * edge.Unit(d.Clip().Info().Height))
}

// AddMask adds a mask that was drawn on the frame shown, its points in source pixels, and
// chooses it. A keep mask is led to the subject's edge.
func (d *Desk) AddMask(k study.Kind, points []mask.Point) {
	frame := d.Frame
	d.Edit("New "+k.String()+" mask", withMatte(func(s *study.Study, m *study.Matte) error {
		t := s.AddMask(m, k.String(), k, study.MaskKey{Frame: frame, Points: points, Inner: 2, Outer: 6, Opacity: 1})
		t.Rounded = true
		if k == study.Keep {
			t.Search = d.newSearch()
		}
		d.MaskID = t.ID
		return nil
	}))
}

// DrawAnew is what the act is called that draws the chosen mask's outline anew on the frame shown.
const DrawAnew = "Draw anew here"

// CanDrawAnew reports whether the chosen mask's outline can be drawn anew on the frame shown: no
// other key has its vertices.
func (d *Desk) CanDrawAnew() bool {
	m := d.Mask()
	return m != nil && d.HasFrame(d.Frame) && (m.Alone(d.Frame) || !m.KeysElsewhere(d.Frame))
}

// RedrawMask makes an outline that was drawn on the frame shown, its points in source pixels, a
// mask's own there: a key is made if need be.
func (d *Desk) RedrawMask(id int, points []mask.Point) {
	frame := d.Frame
	d.EditMatte(DrawAnew, func(m *study.Matte) error {
		return OnMask(m, id, func(t *study.Mask) error { return t.Redraw(frame, points) })
	})
}

// DuplicateMask adds a mask like the chosen one, and chooses it.
func (d *Desk) DuplicateMask() {
	id := d.MaskID
	d.Edit("Duplicate mask", withMatte(func(s *study.Study, m *study.Matte) error {
		return OnMask(m, id, func(from *study.Mask) error {
			track, name, kind := from.Clone(), from.Name, from.Kind
			t := s.AddMask(m, name, kind, track.Keys[0])
			t.Track = track
			d.MaskID = t.ID
			return nil
		})
	}))
}

// DeleteMask takes the chosen mask away.
func (d *Desk) DeleteMask() {
	id := d.MaskID
	d.EditMatte("Delete mask", func(m *study.Matte) error {
		m.Masks = slices.DeleteFunc(m.Masks, func(o study.Mask) bool { return o.ID == id })
		return nil
	})
}

// NextMask opens Masks and chooses the mask so many places on, at most the last.
func (d *Desk) NextMask(by int) {
	m := d.Matte()
	if m == nil || len(m.Masks) == 0 {
		return
	}
	i := slices.IndexFunc(m.Masks, func(o study.Mask) bool { return o.ID == d.MaskID })
	id := m.Masks[max(0, min(len(m.Masks)-1, i+by))].ID
	d.Set(func() {
		d.OpenStep(StepMasks)
		d.MaskID = id
	})
}

// ToggleMask switches the chosen mask on or off.
func (d *Desk) ToggleMask() {
	d.EditMask("Mask on or off", func(t *study.Mask) error {
		t.Off = !t.Off
		return nil
	})
}

// TurnMask makes a drop mask of the chosen keep mask, or the reverse.
func (d *Desk) TurnMask() {
	d.EditMask("Keep or drop", func(t *study.Mask) error {
		t.Kind = t.Kind.Other()
		return nil
	})
}

// RoundMask makes the chosen mask's outline smooth, or straight.
func (d *Desk) RoundMask() {
	d.EditMask("Rounded", func(t *study.Mask) error {
		t.Rounded = !t.Rounded
		return nil
	})
}

// Feathers is the feather outward of all masks of the chosen matte that are on, in px, at the
// frame shown: the widest. ok is false where there are not several.
func (d *Desk) Feathers() (px float64, ok bool) {
	m := d.Matte()
	if m == nil {
		return 0, false
	}
	p, ok := proof.Feathers(&m.Settings)
	return p.At(&m.Settings, d.Frame), ok
}

// SlideFeathers gives all masks of the chosen matte that are on the same feather outward, in
// px, in each of their keys.
func (d *Desk) SlideFeathers(px float64, phase study.Phase) {
	d.SlideMatte("All feathers", phase, func(m *study.Matte) error {
		p, ok := proof.Feathers(&m.Settings)
		if !ok {
			return errors.New("there are not several masks that are on")
		}
		m.Settings = *p.With(&m.Settings, px)
		return nil
	})
}

// MaskAt is the weight in [0,1] that the chosen matte's masks give a source pixel on the
// frame shown, by the edges that are found so far. There must be a matte.
func (d *Desk) MaskAt(x, y int) float64 {
	return d.weightAt(x, y, render.WeightAt)
}

// drawnMaskAt is MaskAt by the outlines as they are drawn.
func (d *Desk) drawnMaskAt(x, y int) float64 { return d.weightAt(x, y, render.DrawnAt) }

func (d *Desk) weightAt(x, y int, of func(ctx context.Context, masks []render.Outline, x, y int) (float64, error)) float64 {
	masks := d.maskOutlines()
	if len(masks) == 0 {
		return 1
	}
	weight, err := of(context.Background(), masks, x, y)
	if err != nil {
		return 1
	}
	return weight
}

// SlideSearch says how deep below the chosen mask's outline the subject's edge lies, in px;
// 0 leaves the mask as it is drawn.
func (d *Desk) SlideSearch(px float64, phase study.Phase) {
	id := d.MaskID
	d.SlideMatte(study.SearchSpec.Title(), phase, func(m *study.Matte) error {
		return OnMask(m, id, func(t *study.Mask) error {
			t.Search = px
			return nil
		})
	})
}

// SetTight says whether the chosen mask's outline lies on the subject's edge, in the keys
// that an edit on the frame shown changes.
func (d *Desk) SetTight(on bool) {
	frame, reach := d.Frame, d.EditReach()
	d.SlideShape("Tight", study.Done, d.MaskID, reach, func(t *study.Mask) error {
		t.Change(frame, reach, func(k *study.MaskKey) { k.Tight = on })
		return nil
	})
}

// RenameMask gives the chosen mask a name; an error where another mask of the matte has
// it. There must be a matte.
func (d *Desk) RenameMask(name string) error {
	for _, o := range d.Matte().Masks {
		if o.ID != d.MaskID && strings.EqualFold(o.Name, name) {
			return fmt.Errorf("%q is there already", o.Name)
		}
	}
	d.EditMask("Rename mask", func(t *study.Mask) error {
		t.Name = name
		return nil
	})
	return nil
}

// InsertVertex puts a vertex on a line of the chosen mask, a share along it.
func (d *Desk) InsertVertex(side int, u float64) {
	if d.refusesVertices("New vertex") {
		return
	}
	d.EditMask("New vertex", func(t *study.Mask) error {
		_, err := t.InsertPoint(d.Frame, side, u)
		return err
	})
}

// DeleteVertices takes vertices of the chosen mask away, and reports whether they went. They are
// counted from 0, in the order of the outline.
func (d *Desk) DeleteVertices(vertices []int) bool {
	label := "Delete vertices"
	if len(vertices) == 1 {
		label = "Delete vertex"
	}
	if d.refusesVertices(label) {
		return false
	}
	return d.EditMask(label, func(t *study.Mask) error {
		for _, i := range slices.Backward(vertices) {
			if err := t.RemovePoint(d.Frame, i); err != nil {
				return err
			}
		}
		return nil
	})
}
