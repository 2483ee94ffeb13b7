package desk

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"halocline/app/retrace"
	"halocline/app/study"
)

// OutlineFromFound is what the act is called that makes a found edge a mask's outline;
// KeyAsFound where the outline follows the picture, which makes a key.
const (
	OutlineFromFound = "Outline from what was found"
	KeyAsFound       = "Key as found"
)

// TakeName is what TakeOutline is called on the frame shown.
func (d *Desk) TakeName() string {
	if d.Follows(d.MaskID) {
		return KeyAsFound
	}
	return OutlineFromFound
}

// CanTakeOutline reports whether the edge that was found can become the chosen mask's outline.
func (d *Desk) CanTakeOutline() bool { return d.WhyNoOutline() == "" }

// WhyNoOutline says why the edge found on the frame shown cannot become the chosen mask's
// outline there; "" where it can.
func (d *Desk) WhyNoOutline() string {
	m := d.Mask()
	if m == nil {
		return "There is no mask."
	}
	if r := retrace.Check(m, d.Frame); r != nil {
		return fmt.Sprintf("This mask %s.", r.Found)
	}
	o, ok := d.OutlineOf(m.ID)
	switch {
	case !d.HasFrame(d.Frame):
		return fmt.Sprintf("The footage has no frame %d.", d.Frame)
	case (!ok || !d.currentOutlines()) && d.Follows(m.ID) && d.paused:
		return "Following is paused."
	case (!ok || !d.currentOutlines()) && d.Follows(m.ID):
		return "The outline is being followed."
	case !ok || !d.currentOutlines():
		return "The edge is being looked for."
	case o.Found.Lost:
		return d.LostWords()
	}
	return ""
}

// currentOutlines reports whether the outlines that are known are of the study as it is, or as
// it was before the edit in the making.
func (d *Desk) currentOutlines() bool {
	s := d.Study()
	if d.Dragging() {
		s = d.start
	}
	return d.Work != nil && d.outlines.of == outlinesAsk{d.Work.Renderer, s, d.MatteID, d.Frame}
}

// TakeOutline puts the edge that was found on the frame shown in place of the chosen mask's
// outline there, in one step: further parts become masks, holes drop masks.
func (d *Desk) TakeOutline() {
	name := d.TakeName()
	if why := d.WhyNoOutline(); why != "" {
		d.fail(name, errors.New(why))
		return
	}
	o, _ := d.OutlineOf(d.MaskID)
	id, frame := d.MaskID, d.Frame
	var taken *retrace.Taken
	done := d.Edit(name, withMatte(func(s *study.Study, m *study.Matte) (err error) {
		taken, err = retrace.Take(context.Background(), s, m, id, frame, o.Found)
		return err
	}))
	if !done {
		return
	}
	if words := takenWords(taken); words != "" {
		d.Note(words)
	}
}

// takenWords say what became of further parts and holes of an edge; "" where it has none.
func takenWords(t *retrace.Taken) string {
	var all []string
	if n := len(t.Drawn); n > 0 {
		words := Counted(n, "mask") + " for further parts and holes"
		if t.Here {
			words += fmt.Sprintf(", on frame %d alone", t.Frame)
		}
		all = append(all, words)
	}
	if n := len(t.Filled); n > 0 {
		all = append(all, Counted(n, "hole")+" filled")
	}
	if words := t.Small.Words("px"); words != "" {
		all = append(all, words)
	}
	return strings.Join(all, "; ")
}
