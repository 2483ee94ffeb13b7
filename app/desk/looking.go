package desk

import "halocline/app/view"

// ownViews are what steps are looked at in that are about colours, which a hatch
// would hide.
var ownViews = map[Step]view.View{StepBase: view.Frame, StepTrial: view.Trial}

// OpenStep opens a step. One with a view of its own is looked at in that, and the
// view of before comes back after it; but from Trial to Edge the grade stays in
// view: who softens there does it for the grade.
func (d *Desk) OpenStep(s Step) {
	if s == d.Step {
		return
	}
	toEdge := d.Step == StepTrial && s == StepEdge
	if own, ok := ownViews[d.Step]; ok && d.View == own && !toEdge {
		d.View = d.before
	}
	if own, ok := ownViews[s]; ok {
		if d.View != own {
			d.before = d.View
		}
		d.View = own
	}
	d.Step = s
}

// GoToStep opens a step of the work.
func (d *Desk) GoToStep(s Step) { d.Set(func() { d.OpenStep(s) }) }

// ToggleCompare shows two views with a divider between them, or one. The left view
// changes where both would be the same.
func (d *Desk) ToggleCompare() {
	d.Set(func() {
		d.Compare = !d.Compare
		if d.Other == d.View {
			d.Other = view.Frame
			if d.View == view.Frame {
				d.Other = view.Matte
			}
		}
	})
}

// Shows reports whether a matte's outlines are drawn on the frame, and its trial
// grades.
func (d *Desk) Shows(matteID int) bool { return !d.hidden[matteID] }

// SetShown draws a matte's outlines and lets its trial grade, or neither.
func (d *Desk) SetShown(matteID int, on bool) { d.Set(func() { d.hidden[matteID] = !on }) }

// ToggleSeparation opens Pick and shows how well the dabs are told apart, or its
// numbers again.
func (d *Desk) ToggleSeparation() {
	d.Set(func() {
		d.OpenStep(StepPick)
		d.ShowSeparation = !d.ShowSeparation
	})
}
