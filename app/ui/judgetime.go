package ui

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/check/shot"
	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ui/look"
)

// A judgeTime is Judge's part about the whole clip: the worst frames, and what of
// this one is only to be seen beside its neighbours.
type judgeTime struct {
	w       *window
	says    *look.Label
	worst   [flagged]*look.Button
	figures [2]*figure // flicker, leak
	all     *fyne.Container
}

func newJudgeTime(w *window) *judgeTime {
	t := &judgeTime{w: w}
	t.says = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	row := look.HBox(8)
	for i := range t.worst {
		t.worst[i] = look.NewButton("", func() { t.visit(i) })
		row.Add(t.worst[i])
	}
	more := look.NewQuietButton("All…", w.openWorst)
	more.SetHint(w.withKey("The worst frames with what is wrong there", "Worst frames…"))
	row.Add(more)
	for i, name := range []string{"flicker", "leak"} {
		t.figures[i] = newFigure(name)
	}
	t.all = look.VBox(4,
		container.NewBorder(nil, nil, nil, row, t.says),
		container.NewGridWithColumns(2, look.Pad(0, 0, 8, 0, t.figures[0].all), look.Pad(8, 0, 0, 0, t.figures[1].all)))
	t.all.Hide()
	return t
}

func (t *judgeTime) visit(i int) {
	if found := t.w.desk.Verdict().Findings; i < len(found) {
		t.w.desk.GoToFrame(found[i].Frame)
	}
}

func (t *judgeTime) display() {
	w := t.w
	look.Show(t.all, w.desk.Several())
	if !w.desk.Several() {
		return
	}
	var v watch.Verdict
	if w.desk.Verdict().MatteID == w.desk.MatteID {
		v = w.desk.Verdict()
	}
	bad := 0
	for i, b := range t.worst {
		look.Show(b, i < len(v.Findings))
		if i >= len(v.Findings) {
			continue
		}
		f := v.Findings[i]
		b.SetLabel(fmt.Sprint(f.Frame))
		b.SetHint(fmt.Sprintf("Frame %d: %s", f.Frame, f.Sentence))
		if f.StandsOut() {
			bad++
			b.SetIconIn(look.Triangle, look.Warn)
		} else {
			b.SetIcon(look.NoMark)
		}
	}
	t.says.SetText(desk.ClipWords(v, bad))
	t.showFigures(v.At(w.desk.Frame))
}

func (t *judgeTime) showFigures(j *shot.Judged) {
	texts := [2]string{"…", "…"}
	if j != nil && j.Err == nil && !j.Stale {
		texts = [2]string{percentOr(j.Flicker), percentOr(j.Leak())}
	}
	for i, text := range texts {
		t.figures[i].value.SetText(text)
	}
}

// percentOr is a share in percent, or that there is none.
func percentOr(v *float64) string {
	if v == nil {
		return "–"
	}
	return fmt.Sprintf("%.1f %%", 100**v)
}
