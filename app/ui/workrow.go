package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// A workRow names the steps of the work in their order, each with a mark that
// says how it stands. The one that is open is the working step.
type workRow struct {
	w     *window
	steps []*stepTab
	all   fyne.CanvasObject
}

type stepTab struct {
	*look.Pressable
	step desk.Step
	mark *look.MarkImage
	name *look.Label
	top  *canvas.Rectangle
}

var stepHints = map[desk.Step]string{
	desk.StepBase:  "Set light and take the water's cast out, for the whole frame",
	desk.StepPick:  "Say what is wanted by dabs; tune hue, saturation and lightness",
	desk.StepMasks: "Draw what colour cannot tell apart",
	desk.StepEdge:  "Despeckle, align, harden, grow and soften the matte's edge",
	desk.StepTrial: "Try a grade through the matte, and see whether its edge shows",
}

func newWorkRow(w *window) *workRow {
	r := &workRow{w: w}
	row := container.New(layout.NewGridLayout(len(desk.Steps)))
	for _, s := range desk.Steps {
		p := newStepTab(w, s)
		r.steps = append(r.steps, p)
		row.Add(p.Pressable)
	}
	line := canvas.NewRectangle(color.NRGBA{0x6a, 0x6a, 0x6a, 0xff})
	r.all = look.Ground(look.Row, container.NewStack(container.New(thread{len(desk.Steps)}, line), row))
	return r
}

func newStepTab(w *window, s desk.Step) *stepTab {
	p := &stepTab{step: s, mark: look.NewMark(look.Ring, look.Second), top: canvas.NewRectangle(color.Transparent)}
	p.name = look.NewLabel(s.String(), look.Style{Size: look.BodySize, Colour: look.Second, Align: fyne.TextAlignCenter})
	box := container.New(stepBox{}, p.top, p.mark, p.name)
	p.Pressable = look.NewPressable(box, fyne.NewSize(0, 48), w.WithKey(stepHints[s], goTo(s)), func() { w.desk.GoToStep(s) })
	p.FillChosen = look.Column
	p.OnKey = func(k fyne.KeyName) bool {
		to := s
		switch k {
		case fyne.KeyLeft:
			to--
		case fyne.KeyRight:
			to++
		default:
			return false
		}
		if to >= 0 && int(to) < len(desk.Steps) {
			w.desk.GoToStep(to)
			look.Focus(w.work.steps[to].Pressable)
		}
		return true
	}
	return p
}

// thread lays the line out on which the steps' marks stand: from the first
// one's middle to the last one's.
type thread struct{ steps int }

func (t thread) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

func (t thread) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	each := s.Width / float32(t.steps)
	objects[0].Move(fyne.NewPos(each/2, 15))
	objects[0].Resize(fyne.NewSize(s.Width-each, 1))
}

// stepBox lays out a step: a line on top, its mark, its name.
type stepBox struct{}

func (stepBox) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(48, 48) }

func (stepBox) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(fyne.NewSize(s.Width, 2))
	o[1].Move(fyne.NewPos(s.Width/2-6, 9.5))
	o[1].Resize(fyne.NewSize(12, 12))
	o[2].Move(fyne.NewPos(0, 22))
	o[2].Resize(fyne.NewSize(s.Width, 20))
}

func (r *workRow) object() fyne.CanvasObject { return r.all }

func (r *workRow) display() {
	for _, p := range r.steps {
		open := p.step == r.w.desk.Step
		p.SetChosen(open)
		p.top.FillColor = color.Transparent
		colour := color.Color(look.Second)
		if open {
			p.top.FillColor, colour = look.Accent, look.White
		}
		p.top.Refresh()
		p.name.SetColour(colour)
		mark, tint := r.w.markOf(p.step)
		if open && mark != look.Triangle {
			tint = look.Accent
		}
		p.mark.Set(mark, tint)
	}
}

// markOf is the mark of a step: filled = on, hollow = off or neutral, triangle
// = needs a look.
func (w *window) markOf(s desk.Step) (look.Mark, color.Color) {
	if w.desk.Stale(s) {
		return look.Triangle, look.Warn
	}
	if st := w.desk.Study(); st != nil {
		if _, how := s.Summary(st, w.desk.Matte(), w.desk.Frame); how == desk.Active {
			return look.Disc, look.Text
		}
	}
	return look.Ring, look.Second
}

// A stepList shows the steps that are not open, each as one line, as far as there
// is room: those that change nothing give way first.
type stepList struct {
	w     *window
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

func newStepList(w *window) *stepList {
	l := &stepList{w: w, all: look.VBox(0)}
	for _, s := range desk.Steps {
		line := &stepLine{step: s, mark: look.NewMark(look.Ring, look.Second)}
		line.text = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
		name := look.NewFixedLabel(46, s.String(), look.Style{Size: look.SmallSize, Colour: look.Text})
		content := container.NewBorder(nil, nil,
			look.HBox(8, look.HGap(4), container.NewCenter(look.Fixed(12, 12, line.mark)), name), nil, line.text)
		line.Pressable = look.NewPressable(content, fyne.NewSize(0, stepLineHeight), stepHints[s], func() { w.desk.GoToStep(s) })
		l.lines = append(l.lines, line)
		l.all.Add(line.Pressable)
	}
	return l
}

func (l *stepList) object() fyne.CanvasObject { return l.all }

func (l *stepList) display() {
	s := l.w.desk.Study()
	for _, line := range l.lines {
		mark, tint := l.w.markOf(line.step)
		line.mark.Set(mark, tint)
		text, colour := "", color.Color(look.Second)
		if s != nil {
			text, _ = line.step.Summary(s, l.w.desk.Matte(), l.w.desk.Frame)
		}
		if l.w.desk.Stale(line.step) {
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

// shownIn tells which lines are shown where there is room for so many.
func (l *stepList) shownIn(room int) []bool {
	here, n := make([]bool, len(l.lines)), 0
	for i, line := range l.lines {
		if here[i] = line.step != l.w.desk.Step; here[i] {
			n++
		}
	}
	for _, quiet := range []bool{true, false} {
		for i := len(l.lines) - 1; i >= 0 && n > max(room, 0); i-- {
			mark, _ := l.w.markOf(l.lines[i].step)
			if here[i] && quiet == (mark == look.Ring) {
				here[i] = false
				n--
			}
		}
	}
	return here
}
