package desk

import (
	"context"
	"errors"
	"fmt"
	"math"

	"halocline/app/retrace"
	"halocline/app/study"
	"halocline/mask"
)

// What there is to masks that follow the picture's motion between their keys.

// Follows reports whether one of the chosen matte's masks follows the picture to the frame
// shown: it has no key there.
func (d *Desk) Follows(maskID int) bool {
	m := d.Matte()
	return m != nil && m.Mask(maskID) != nil && m.Mask(maskID).Works(d.Frame) && m.Mask(maskID).StretchAt(d.Frame) != nil
}

// lost reports whether it is known that nothing is left on the frame shown of what a mask's
// outline goes about.
func (d *Desk) lost(maskID int) bool {
	o, ok := d.OutlineOf(maskID)
	return ok && o.Found.Lost
}

// FollowedKey is the frame of the key whose outline stands for a followed one on a frame until
// that is found: the nearest. ok is false where the mask does not follow the picture there.
func FollowedKey(t *mask.Track, frame int) (key int, ok bool) {
	s := t.StretchAt(frame)
	switch {
	case s == nil:
		return 0, false
	case s.From == nil || s.To != nil && 2*(frame-s.From.Frame) > s.To.Frame-s.From.Frame:
		return s.To.Frame, true
	}
	return s.From.Frame, true
}

// SureWords says how sure the chosen mask's followed outline is; "" where it does not follow
// the picture.
func (d *Desk) SureWords() string {
	if !d.Follows(d.MaskID) {
		return ""
	}
	o, ok := d.OutlineOf(d.MaskID)
	switch {
	case !ok && d.paused:
		return "follows: paused"
	case !ok:
		return "follows: being found"
	case o.Found.Lost:
		return "follows: lost"
	}
	return fmt.Sprintf("follows: %.0f %% sure", math.Floor(100*o.Confidence))
}

// StaleContours are the contours of a followed outline as they were found on the frame shown
// before the last edit; nil where they are known as they are now, and where none is followed.
func (d *Desk) StaleContours(maskID int) [][]mask.Point {
	if _, ok := d.OutlineOf(maskID); ok || !d.Follows(maskID) || d.outlines.of.matteID != d.MatteID || d.outlines.of.frame != d.Frame {
		return nil
	}
	if o, ok := d.outlines.by[maskID]; ok && o.Layer.Stretch != nil && !o.Found.Lost {
		return o.Found.Contours
	}
	return nil
}

// SlideShape is Slide for a change of a mask's shape in some of its keys. Where the outline
// follows the picture to the frame shown, the key there is made as it was found first, in the
// same step; while that is not known the change cannot be done.
func (d *Desk) SlideShape(label string, p study.Phase, id int, reach mask.Reach, change func(t *study.Mask) error) {
	var taken *retrace.Taken
	d.Slide(label, p, withMatte(func(s *study.Study, m *study.Matte) (err error) {
		if taken, err = d.keyFollowed(s, m, id, reach); err != nil {
			return err
		}
		return OnMask(m, id, change)
	}))
	if p == study.Done && taken != nil {
		if words := takenWords(taken); words != "" {
			d.Note(words)
		}
	}
}

// keyFollowed makes the key that a change with a reach needs on the frame shown, where the
// outline is followed, and returns what became of further parts of it; nil where it makes none.
func (d *Desk) keyFollowed(s *study.Study, m *study.Matte, id int, reach mask.Reach) (*retrace.Taken, error) {
	t := m.Mask(id)
	if t == nil || reach == mask.Everywhere || t.StretchAt(d.Frame) == nil {
		return nil, nil
	}
	if !t.Works(d.Frame) {
		return nil, errors.New("the mask does not work on this frame, and what it follows is not known there")
	}
	o, ok := d.outlineIn(m, id)
	switch {
	case !ok || !d.currentOutlines():
		return nil, errors.New("the outline is being followed, and is not known yet")
	case o.Found.Lost:
		return nil, nil // the nearest key's is what counts
	}
	return retrace.Take(context.Background(), s, m, id, d.Frame, o.Found)
}

// AsFound returns the chosen mask with the key that TakeOutline would make, as if it were made.
func (d *Desk) AsFound() (*study.Mask, error) {
	if why := d.WhyNoOutline(); why != "" {
		return nil, errors.New(why)
	}
	s := d.Study().Clone()
	m := s.Matte(d.MatteID)
	if _, err := d.keyFollowed(s, m, d.MaskID, mask.Here); err != nil {
		return nil, err
	}
	return m.Mask(d.MaskID), nil
}

// refusesVertices tells that there are no vertices on a frame to which the outline follows the
// picture, and reports whether that is so.
func (d *Desk) refusesVertices(label string) bool {
	if !d.Follows(d.MaskID) || d.lost(d.MaskID) {
		return false
	}
	d.Report(Problem{What: label + ": this mask follows the picture here and has no vertices", ToDo: "‘" + KeyAsFound + "’ first."})
	return true
}
