package desk

import (
	"fmt"

	"halocline/app/check"
	"halocline/app/desk/watch"
)

// CrossingWords says where the chosen matte's outlines may cut the subject on the frame shown,
// of several places where over the longest stretch; "" where none does, and while it is not
// known.
func (d *Desk) CrossingWords() string {
	if d.Found.MatteID != d.MatteID || d.Found.Frame != d.Frame {
		return ""
	}
	all := d.Found.Crossings
	if len(all) == 0 {
		return ""
	}
	return fmt.Sprintf("The outline may cut the subject at %.0f, %.0f.", all[0].X, all[0].Y)
}

// A Look is a place of the edge that is worth a look, and why.
type Look struct {
	check.Patch
	Words string
}

// Looks are the places worth a look on the frame that was found: first those where the outline
// may cut the subject, then the worst of the edge.
func Looks(f *watch.Findings) (all []Look) {
	for _, c := range f.Crossings {
		at := check.Patch{X: int(c.X) - watch.PatchSide/2, Y: int(c.Y) - watch.PatchSide/2}
		all = append(all, Look{at, "the outline may cut the subject here"})
	}
	for i, p := range f.Worst {
		all = append(all, Look{p, fmt.Sprintf("worst %d of %d", i+1, len(f.Worst))})
	}
	return all
}
