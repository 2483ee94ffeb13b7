package retrace

import (
	"fmt"

	"halocline/app/study"
)

// A Refusal says why the edge found on a frame cannot become a mask's outline there.
type Refusal struct {
	Mask  string // its name
	Found string // what stands in the way, as what the mask does: "is switched off"
	Want  string // in its place
}

func (r *Refusal) Error() string { return fmt.Sprintf("mask %q %s, want %s", r.Mask, r.Found, r.Want) }

// Check returns why a mask has no outline that could be found on a frame, at its edge or by
// following the picture; nil where it has.
func Check(t *study.Mask, frame int) *Refusal {
	refuse := func(found, want string) *Refusal { return &Refusal{t.Name, found, want} }
	switch {
	case t.Search == 0 && t.StretchAt(frame) == nil:
		return refuse("searches no edge", "an edge search above 0 px")
	case t.Off:
		return refuse("is switched off", "it on")
	case !t.Works(frame):
		return refuse(fmt.Sprintf("does not work on frame %d", frame), "a frame on which it does")
	case t.CurvesElsewhere(frame):
		return refuse("is rounded and has keys at other frames, whose curves would change", "straight sides")
	}
	return nil
}

// lost is the refusal where no edge was found on a frame.
func lost(t *study.Mask, frame int) *Refusal {
	return &Refusal{t.Name, fmt.Sprintf("has no edge that could be found at frame %d and stays as drawn", frame), "an outline about what has one"}
}
