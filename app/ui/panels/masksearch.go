package panels

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// A maskSearch is what the masks panel has for the search of the subject's edge: a row, and
// a line below it where no edge is found.
type maskSearch struct {
	desk  *desk.Desk
	depth *look.Number
	tight *look.Switch
	lost  *look.Label
	row   fyne.CanvasObject
}

func newMaskSearch(d *desk.Desk, parts Parts) *maskSearch {
	s := &maskSearch{desk: d}
	spec := specOf(study.SearchSpec)
	s.depth = look.NewNumber(spec, d.SlideSearch)
	s.depth.OnProblem(parts.Status.Problem)
	s.tight = look.NewSwitch("The line lies on the edge within a few pixels; it is looked for on both sides", d.SetTight)
	s.tight.SetLabel("tight")
	label := look.NewFixedLabel(labelWidth-6, spec.Label, look.Style{Size: look.SmallSize, Colour: look.Second})
	unit := look.NewFixedLabel(unitWidth, spec.Unit, look.Style{Size: look.SmallSize, Colour: look.Third})
	s.row = look.HBox(6, look.NewHinted(spec.Hint, label), look.Centre(s.depth), unit, look.Centre(s.tight))
	s.lost = look.NewLabel("", look.Style{Size: look.AxisSize, Colour: look.Text})
	return s
}

// unitWidth is the room for a unit, and what is free between it and a switch.
const unitWidth = 28

func (s *maskSearch) display(m *study.Mask) {
	s.depth.Set(m.Search)
	s.tight.Set(m.TightAt(s.desk.Frame))
	able(s.tight, m.Search > 0)
	words := s.desk.LostWords()
	s.lost.SetText(words)
	look.Show(s.lost, words != "")
}
