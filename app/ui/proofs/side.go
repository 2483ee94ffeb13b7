package proofs

import (
	"fmt"
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/proof"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// A side is the panel beside the proofs: what a sweep costs, and what can be done
// with the chosen one.
type side struct {
	p      *Sheet
	head   *look.Label
	about  *look.Paragraph
	graph  *canvas.Image
	plot   fyne.CanvasObject
	least  *look.Label
	advice *look.Paragraph
	name   *look.Label
	lines  [3]*look.Paragraph // what is better, what is worse, since the settings as they are
	note   *look.Entry
	use    *look.Button
	keep   *look.Button
	forget *look.Button
	finer  *look.Button
	drawn  proof.Graph
	all    fyne.CanvasObject
}

const (
	sideWidth   = 300
	graphHeight = 212
)

func newSide(p *Sheet) *side {
	s := &side{p: p}
	second := look.Style{Size: look.SmallSize, Colour: look.Second}
	s.head = look.NewLabel("", look.Style{Size: look.JudgeSize, Colour: look.White, Bold: true})
	s.about = look.NewParagraph(2, "", second)
	s.graph = canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1)))
	s.graph.FillMode, s.graph.ScaleMode = canvas.ImageFillStretch, canvas.ImageScaleFastest
	s.least = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.White, Bold: true})
	s.advice = look.NewParagraph(2, "", second)
	s.finer = look.NewQuietButton("Sweep finer about it", p.sweepFiner)
	s.finer.SetHint("Sweep between the neighbours of the value with the least misfit")
	s.plot = look.VBox(6, look.Fixed(sideWidth-32, graphHeight, s.graph), s.least, s.advice, look.HBox(0, s.finer))
	s.name = look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.White, Bold: true})
	for i := range s.lines {
		s.lines[i] = look.NewParagraph(2, "", second)
	}
	s.note = look.NewEntry("", "A note about the chosen proof; it is kept with it", func(text string, _ study.Phase) { p.setNote(text) })
	s.use = look.NewButton("Use this one", p.use)
	s.use.Kind = look.Prominent
	s.use.SetHint("Make its settings the matte's (Enter): one edit to undo")
	s.keep = look.NewButton("", p.keepAll)
	s.keep.SetHint("Make proofs of all values of the sweep, with their notes: one edit to undo")
	s.forget = look.NewButton("Forget", p.forget)
	s.forget.SetHint("Take this kept proof out of the study: one edit to undo")
	body := look.VBox(8,
		s.head, s.about, s.plot, look.Rule(), s.name, s.lines[0], s.lines[1],
		look.NewLabel("Note", second), s.note, look.HBox(8, s.use, s.keep, s.forget))
	scroll := container.NewVScroll(look.Pad(16, 12, 16, 12, body))
	s.all = look.Fixed(sideWidth, 0, look.Ground(look.Column, scroll))
	return s
}

func (s *side) display() {
	p := s.p
	it := p.items[p.chosen]
	s.head.SetText("Against the matte as it is")
	s.about.SetText(p.aboutText())
	look.Show(s.plot, p.sweep != nil)
	if p.sweep != nil {
		s.head.SetText("What " + verbal(p.sweep.Of.Label) + " costs")
		s.showLeast()
		s.draw()
	}
	s.name.SetText(it.Name)
	better, worse := p.against()
	s.lines[0].SetText(better)
	s.lines[1].SetText(worse)
	s.note.Set(p.noteOf(p.chosen))
	s.use.SetEnabled(!it.Now)
	n := p.unkept()
	s.keep.SetLabel("Keep all " + fmt.Sprint(n))
	look.Show(s.keep, p.sweep != nil && n > 0)
	look.Show(s.forget, it.Kept != 0)
}

// verbal is what is done when a number is turned up.
func verbal(label string) string {
	switch label {
	case "soften":
		return "softening"
	case "settle":
		return "settling"
	case "grow":
		return "growing"
	}
	return label
}

// aboutText says what the figures are of.
func (p *Sheet) aboutText() string {
	where := ""
	if p.desk.Several() {
		where = fmt.Sprintf(" on frame %d", p.frame)
	}
	if p.spread {
		where = " on four frames, in the mean"
	}
	if p.graded() {
		return fmt.Sprintf("Under the trial of ‘%s’, measured along its edge%s.", p.matte.Name, where)
	}
	return fmt.Sprintf("‘%s’ has no trial: edge mismatch is measured%s.", p.matte.Name, where)
}

// misfitName is what the figure of how ill the matte fits its edge is called: misfit
// under a trial, edge mismatch where nothing grades.
func (p *Sheet) misfitName() string {
	if p.graded() {
		return "misfit"
	}
	return "edge mismatch"
}

// showLeast says where the matte fits best.
func (s *side) showLeast() {
	p := s.p
	l, ok := proof.LeastMisfit(p.items, p.figures)
	s.finer.SetEnabled(ok && l.Inside)
	switch {
	case ok && l.Inside:
		s.least.SetText(fmt.Sprintf("At %s the %s is least", p.sweep.Of.Value(math.Round(l.At*10)/10), p.misfitName()))
		if p.sweep.Of.Name == "soften" {
			s.advice.SetText("Below it the edge shows after the grade, above it what lies beside is graded too.")
		} else {
			s.advice.SetText("There the matte lies best on the picture's own edge.")
		}
	case ok:
		s.least.SetText(fmt.Sprintf("Least at the end, %s", p.sweep.Of.Value(p.items[l.Item].Value)))
		s.advice.SetText("It may be less beyond the sweep: sweep farther.")
	case p.done:
		s.least.SetText("No " + p.misfitName() + " is known")
		s.advice.SetText("There is no edge along which to measure it.")
	default:
		s.least.SetText("…")
		s.advice.SetText("")
	}
}

// draw draws the graph, where it has changed.
func (s *side) draw() {
	p := s.p
	g := proof.GraphOf(p.sweep, p.items, p.figures)
	if it := p.items[p.chosen]; it.Swept {
		g.Chosen = it.Value
	}
	if fmt.Sprint(g) == fmt.Sprint(s.drawn) {
		return
	}
	s.drawn = g
	scale := float64(p.host.Canvas().Scale())
	m := image.NewRGBA(image.Rect(0, 0, int((sideWidth-32)*scale), int(graphHeight*scale)))
	g.Draw(m, m.Rect, look.Type, scale)
	s.graph.Image = m
	s.graph.Refresh()
}
