package panels

import (
	"strings"

	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// A maskSearch is what the masks panel has for the search of the subject's edge: a row, one
// below it for what was found, and a line where no edge is.
type maskSearch struct {
	desk   *desk.Desk
	keys   Keys
	depth  *look.Number
	tight  *look.Switch
	masks  Masks
	take   *look.Button
	anew   *look.Button
	anewAt fyne.CanvasObject // the button's place, where the outline follows the picture
	sure   *look.Label       // how sure a followed outline is
	lost   [2]*look.Label    // lines
	row    fyne.CanvasObject
	found  fyne.CanvasObject
}

func newMaskSearch(d *desk.Desk, parts Parts) *maskSearch {
	s := &maskSearch{desk: d, keys: parts.Keys, masks: parts.Masks}
	spec := specOf(study.SearchSpec)
	s.depth = look.NewNumber(spec, d.SlideSearch)
	s.depth.OnProblem(parts.Status.Problem)
	s.tight = look.NewSwitch("The line lies on the edge within a few pixels; it is looked for on both sides", d.SetTight)
	s.tight.SetLabel("tight")
	label := look.NewFixedLabel(labelWidth-6, spec.Label, look.Style{Size: look.SmallSize, Colour: look.Second})
	unit := look.NewFixedLabel(unitWidth, spec.Unit, look.Style{Size: look.SmallSize, Colour: look.Third})
	s.row = look.HBox(6, look.NewHinted(spec.Hint, label), look.Centre(s.depth), unit, look.Centre(s.tight))
	s.take = look.NewButton(desk.OutlineFromFound, d.TakeOutline)
	s.sure = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	s.anew = look.NewButton("Draw anew", func() { s.masks.DrawAnew() })
	s.anew.SetHint(s.keys.WithKey("Draw the outline on this frame as for a new mask: it becomes a key", desk.DrawAnew))
	s.anewAt = look.Centre(s.anew)
	s.found = look.Fixed(0, rowHeight, look.HBox(8, s.sure, look.Centre(s.take), s.anewAt))
	for i := range s.lost {
		s.lost[i] = look.NewLabel("", lostStyle)
	}
	return s
}

// unitWidth is the room for a unit, and what is free between it and a switch.
const unitWidth = 28

func (s *maskSearch) display(m *study.Mask) {
	s.depth.Set(m.Search)
	s.tight.Set(m.TightAt(s.desk.Frame))
	able(s.tight, m.Search > 0)
	look.Show(s.found, m.Search > 0 || s.desk.Follows(m.ID))
	s.displaySure()
	s.displayTake()
	look.Show(s.anewAt, s.desk.Follows(m.ID))
	s.anew.SetChosen(s.masks.DrawsAnew())
	lines := inTwoLines(s.desk.LostWords(), lostWidth)
	for i, label := range s.lost {
		label.SetText(lines[i])
		look.Show(label, lines[i] != "")
	}
}

// lostStyle is that of the lines on what was not found, and lostWidth the room for one.
var lostStyle = look.Style{Size: look.AxisSize, Colour: look.Text}

const lostWidth = 316

// inTwoLines divides words where one line has no room for them.
func inTwoLines(words string, width float32) (lines [2]string) {
	lines[0] = words
	for lostStyle.Measure(lines[0]).Width > width {
		at := strings.LastIndex(lines[0], " ")
		if at < 0 {
			break
		}
		lines[0], lines[1] = words[:at], words[at+1:]
	}
	return lines
}

// displaySure says how sure the outline is where it follows the picture, in the room of the labels
// or more.
func (s *maskSearch) displaySure() {
	words := s.desk.SureWords()
	s.sure.SetText(words)
	s.sure.SetWidth(max(labelWidth-8, look.Style{Size: look.SmallSize}.Measure(words).Width))
}

// displayTake says of the button what it does, or why it can do nothing.
func (s *maskSearch) displayTake() {
	why := s.desk.WhyNoOutline()
	able(s.take, why == "")
	s.take.SetLabel(s.desk.TakeName())
	switch {
	case why != "":
	case s.desk.Follows(s.desk.MaskID):
		why = s.keys.WithKey("A tight key here of the outline that was followed: the stretch is split, and only its halves are made anew", desk.OutlineFromFound)
	default:
		why = s.keys.WithKey("The edge that was found becomes the outline here, tight; other keys stay as they look, further parts become masks, holes drop masks", desk.OutlineFromFound)
	}
	s.take.SetHint(why)
}
