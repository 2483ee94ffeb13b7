package study

import "slices"

// A Dismissed is a flag of the check over the clip that the user has looked at and put away. The
// frame is told again once it is in trouble of another kind, or clearly worse.
type Dismissed struct {
	Frame   int
	Trouble string  // what it was flagged for, in the check's word for it
	Badness float64 // how bad it was then
}

// worseAgain is how many times as bad as it was a dismissed frame is told again.
const worseAgain = 1.5

// Dismiss puts away what a frame is flagged for, in place of what it was put away for before.
func (m *Matte) Dismiss(d Dismissed) {
	i, found := m.dismissedAt(d.Frame)
	if found {
		m.Dismissed[i] = d
	} else {
		m.Dismissed = slices.Insert(m.Dismissed, i, d)
	}
}

// Dismisses reports whether what a frame is flagged for was put away.
func (m *Matte) Dismisses(frame int, trouble string, badness float64) bool {
	i, found := m.dismissedAt(frame)
	return found && m.Dismissed[i].Trouble == trouble && badness < worseAgain*m.Dismissed[i].Badness
}

func (m *Matte) dismissedAt(frame int) (int, bool) {
	return slices.BinarySearchFunc(m.Dismissed, frame, func(d Dismissed, f int) int { return d.Frame - f })
}
