package judge

import (
	"fmt"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ui/look"
)

// A seamRow is the row about a trial that grades: how its edge shows, and
// what it does to noise.
type seamRow struct {
	desk    *desk.Desk
	host    Host
	figures [4]*figure
	all     *fyne.Container
}

var seamFigures = [4]struct{ name, hint string }{
	{"rim", "How much the graded edge shows as an edge: the matte is harder than the picture (CIEDE2000)"},
	{"bleed", "How much the grade shows on what lies beside: the matte is softer than the picture, or off (CIEDE2000)"},
	{"misfit", "Both in one figure, the least of which fits best (CIEDE2000)"},
	{"noise dB", "What the grade does to the noise inside the matte, predicted"},
}

func newSeamRow(d *desk.Desk, host Host) *seamRow {
	j := &seamRow{desk: d, host: host}
	var all []fyne.CanvasObject
	for i, f := range seamFigures {
		j.figures[i] = newFigure(f.name)
		all = append(all, look.NewHinted(f.hint, j.figures[i].all))
	}
	j.all = container.New(columns{seamShares}, all...)
	return j
}

// wanted reports whether the row is to be seen: while the trial grades; where the
// window is low, in the steps alone that it is for.
func (j *seamRow) wanted() bool {
	d := j.desk
	m := d.Matte()
	if m == nil || !m.Trial.At(d.Frame).Grades() {
		return false
	}
	return desk.SeamSteps[d.Step] || j.host.Canvas().Size().Height >= look.TallFrom
}

// display shows the row, and what is known.
func (j *seamRow) display() {
	m := j.desk.Matte()
	look.Show(j.all, j.wanted())
	if !j.all.Visible() {
		return
	}
	texts, tint := [4]string{"…", "…", "…", "…"}, color.Color(look.Text)
	s := j.desk.Seam()
	if s == nil { // what is known of before is of before
		tint = look.Off
		if s = j.desk.Found.Seam; s != nil && s.MatteID != m.ID {
			s = nil
		}
	}
	if s != nil {
		texts = seamTexts(s)
	}
	for i, t := range texts {
		j.figures[i].value.SetText(t)
		j.figures[i].value.SetColour(tint)
	}
}

func seamTexts(s *watch.Seam) (texts [4]string) {
	texts = [4]string{"–", "–", "–", "–"}
	if s.Why == "" {
		for i, v := range []float64{s.Figures.Rim, s.Figures.Bleed, s.Figures.Misfit} {
			texts[i] = desk.Fixed(v, 1)
		}
	}
	if s.Noise != nil {
		texts[3] = fmt.Sprintf("%+.1f", s.Noise.Decibels)
	}
	return texts
}
