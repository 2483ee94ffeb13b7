package ui

import (
	"fmt"

	"halocline/app/desk"
	"halocline/app/ui/frame"
	"halocline/app/ui/handles"
	"halocline/app/ui/journal"
	"halocline/app/ui/viewer"
)

// maskSpots are where the handles of the chosen mask are on the frame; none while
// another step is open.
func maskSpots(d *desk.Desk, v *viewer.Viewer, f *frame.Frame) (all []journal.Spot) {
	h := f.MaskHandles()
	if h == nil || d.Step != desk.StepMasks {
		return nil
	}
	for _, p := range []struct {
		kind handles.PartKind
		name string
	}{{handles.Turn, "turn"}, {handles.Centre, "centre"}, {handles.InnerFeather, "feather inward"}, {handles.OuterFeather, "feather outward"}} {
		if at, ok := h.Place(p.kind); ok {
			all = append(all, journal.Spot{X: at.X, Y: at.Y, Name: p.name})
		}
	}
	s, _ := f.MaskShape()
	for i, p := range s.Points {
		x, y := v.Viewport().ToScreen(p.X, p.Y)
		all = append(all, journal.Spot{X: x, Y: y, Name: fmt.Sprintf("vertex %d", i+1)})
	}
	return all
}
