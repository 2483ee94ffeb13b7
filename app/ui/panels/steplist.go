package panels

import (
	"image/color"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// A stepList shows the steps that are not open, each as one line, as far as there
// is room: those that change nothing give way first.
type stepList struct {
	desk  *desk.Desk
	lines []*stepLine
	all   *fyne.Container
}

type stepLine struct {
	*look.Pressable
	step desk.Step
	mark *look.MarkImage
	text *look.Label
}

const stepLineHeight = 24

func newStepList(d *desk.Desk) *stepList {
	l := &stepList{desk: d, all: look.VBox(0)}
	for _, s := range desk.Steps {
		line := &stepLine{step: s, mark: look.NewMark(look.Ring, look.Second)}
		line.text = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
		name := look.NewFixedLabel(46, s.String(), look.Style{Size: look.SmallSize, Colour: look.Text})
		content := container.NewBorder(nil, nil,
			look.HBox(8, look.HGap(4), container.NewCenter(look.Fixed(12, 12, line.mark)), name), nil, line.text)
		line.Pressable = look.NewPressable(content, fyne.NewSize(0, stepLineHeight), stepHints[s], func() { d.GoToStep(s) })
		l.lines = append(l.lines, line)
		l.all.Add(line.Pressable)
	}
	return l
}

func (l *stepList) object() fyne.CanvasObject { return l.all }

func (l *stepList) display() {
	s := l.desk.Study()
	for _, line := range l.lines {
		mark, tint := markOf(l.desk, line.step)
		line.mark.Set(mark, tint)
		text, colour := "", color.Color(look.Second)
		if s != nil {
			text, _ = line.step.Summary(s, l.desk.Matte(), l.desk.Frame)
		}
		if l.desk.Stale(line.step) {
			text, colour = "fitted before this Base; "+text, look.Warn
		}
		line.text.SetText(text)
		line.text.SetColour(colour)
	}
}

// fit shows what lines of the steps that are not open a height has room for.
func (l *stepList) fit(height float32) {
	here := l.shownIn(int(height / stepLineHeight))
	changed := false
	for i, line := range l.lines {
		if here[i] != line.Visible() {
			look.Show(line, here[i])
			changed = true
		}
	}
	if changed {
		l.all.Refresh()
	}
}

// shows reports whether any line is shown.
func (l *stepList) shows() bool {
	return slices.ContainsFunc(l.lines, func(line *stepLine) bool { return line.Visible() })
}

// shownIn tells which lines are shown where there is room for so many.
func (l *stepList) shownIn(room int) []bool {
	here, n := make([]bool, len(l.lines)), 0
	for i, line := range l.lines {
		if here[i] = line.step != l.desk.Step; here[i] {
			n++
		}
	}
	for _, quiet := range []bool{true, false} {
		for i := len(l.lines) - 1; i >= 0 && n > max(room, 0); i-- {
			mark, _ := markOf(l.desk, l.lines[i].step)
			if here[i] && quiet == (mark == look.Ring) {
				here[i] = false
				n--
			}
		}
	}
	return here
}

// markOf is the mark of a step: filled = on, hollow = off or neutral, triangle
// = needs a look.
func markOf(d *desk.Desk, s desk.Step) (look.Mark, color.Color) {
	if d.Stale(s) {
		return look.Triangle, look.Warn
	}
	if st := d.Study(); st != nil {
		if _, how := s.Summary(st, d.Matte(), d.Frame); how == desk.Active {
			return look.Disc, look.Text
		}
	}
	return look.Ring, look.Second
}
