package judge

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/check/shot"
	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ui/look"
)

// A clipPart is the part about the whole clip: the worst frames, and what of
// this one is only to be seen beside its neighbours.
type clipPart struct {
	desk    *desk.Desk
	says    *look.Label
	worst   [desk.Flagged]*look.Button
	figures [2]*figure // flicker, leak
	all     *fyne.Container
}

func newClipPart(d *desk.Desk, host Host) *clipPart {
	t := &clipPart{desk: d}
	t.says = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	row := look.HBox(8)
	for i := range t.worst {
		t.worst[i] = look.NewButton("", func() { t.visit(i) })
		row.Add(t.worst[i])
	}
	more := look.NewQuietButton("All…", host.OpenWorst)
	more.SetHint(host.WithKey("The worst frames with what is wrong there", "Worst frames…"))
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

func (t *clipPart) visit(i int) {
	if found := t.desk.Verdict().Findings; i < len(found) {
		t.desk.GoToFrame(found[i].Frame)
	}
}

func (t *clipPart) display() {
	d := t.desk
	look.Show(t.all, d.Several())
	if !d.Several() {
		return
	}
	var v watch.Verdict
	if d.Verdict().MatteID == d.MatteID {
		v = d.Verdict()
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
	t.showFigures(v.At(d.Frame))
}

func (t *clipPart) showFigures(j *shot.Judged) {
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
