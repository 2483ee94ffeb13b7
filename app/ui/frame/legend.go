package frame

import (
	"fmt"
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/view"
	"halocline/selection"
)

// A legend says what the patterns of Reasons mean, and how much of what is in
// view each takes.
type legend struct {
	head   *look.Label
	names  [selection.ReasonCount]*look.Label
	shares [selection.ReasonCount]*look.Label
	joined *fyne.Container // below the others, which fill a narrow window's width
	all    *fyne.Container
}

func newLegend() *legend {
	l := &legend{head: look.NewTightLabel("Out because of", look.Style{Size: look.SmallSize, Colour: look.Second})}
	row := look.HBox(8, l.head)
	for r := selection.ByHue; r <= selection.ByEdge; r++ {
		l.add(row, r)
	}
	l.shares[selection.In] = look.NewFixedLabel(64, "", look.Style{Size: look.SmallSize, Colour: look.Text})
	row.Add(l.shares[selection.In])
	l.joined = look.HBox(8)
	l.add(l.joined, selection.ByJoin)
	l.all = cardOn(look.VBox(4, row, l.joined))
	return l
}

// add puts a reason's pattern, name and share at the end of a row.
func (l *legend) add(row *fyne.Container, r selection.Reason) {
	swatch := canvas.NewImageFromImage(view.Swatch(r, image.Pt(20, 14)))
	swatch.ScaleMode = canvas.ImageScalePixels
	swatch.SetMinSize(fyne.NewSize(20, 14))
	l.names[r] = look.NewFixedLabel(48, "", look.Style{Size: look.SmallSize, Colour: look.Text})
	l.shares[r] = look.NewFixedLabel(46, "", look.Style{Size: look.SmallSize, Colour: look.Second})
	row.Add(container.NewCenter(swatch))
	row.Add(l.names[r])
	row.Add(l.shares[r])
}

func (l *legend) set(m *study.Matte, s render.Shares, whole bool) {
	if m == nil {
		return
	}
	names := map[selection.Reason]string{
		selection.ByHue: "hue", selection.BySat: desk.ShortName(m.Pick.Model, selection.Sat), selection.ByLight: "light", selection.ByMask: "mask", selection.ByEdge: "edge", selection.ByJoin: "joined",
	}
	for r, name := range names {
		l.names[r].SetText(name)
		l.shares[r].SetText(percent(s[r]))
	}
	look.Show(l.joined, len(m.Joins) > 0)
	l.shares[selection.In].SetText("in " + percent(s[selection.In]))
	if whole {
		l.head.SetText("Out because of")
	} else {
		l.head.SetText("Here, out because of")
	}
}

func percent(share float64) string { return fmt.Sprintf("%.1f %%", 100*share) }
