package frame

import (
	"fmt"
	"image"
	"slices"

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
	// Those that only some mattes have, below the others, which fill a narrow window's width.
	more, found, joined *fyne.Container
	ranges              *fyne.Container // hue and saturation or chroma: a plane has neither
	all                 *fyne.Container
}

func newLegend() *legend {
	l := &legend{head: look.NewTightLabel("Out because of", look.Style{Size: look.SmallSize, Colour: look.Second})}
	row := look.HBox(8, l.head)
	l.ranges = look.HBox(8)
	l.add(l.ranges, selection.ByHue, 48)
	l.add(l.ranges, selection.BySat, 48)
	row.Add(l.ranges)
	for r := selection.ByLight; r <= selection.ByEdge; r++ {
		l.add(row, r, 48)
	}
	l.shares[selection.In] = look.NewFixedLabel(64, "", look.Style{Size: look.SmallSize, Colour: look.Text})
	row.Add(l.shares[selection.In])
	l.found, l.joined = look.HBox(8), look.HBox(8)
	l.add(l.found, selection.ByFound, 138)
	l.add(l.joined, selection.ByJoin, 48)
	l.more = look.HBox(8, l.found, l.joined)
	l.all = cardOn(look.VBox(4, row, l.more))
	return l
}

// add puts a reason's pattern, name of a width and share at the end of a row.
func (l *legend) add(row *fyne.Container, r selection.Reason, width float32) {
	swatch := canvas.NewImageFromImage(view.Swatch(r, image.Pt(20, 14)))
	swatch.ScaleMode = canvas.ImageScalePixels
	swatch.SetMinSize(fyne.NewSize(20, 14))
	l.names[r] = look.NewFixedLabel(width, "", look.Style{Size: look.SmallSize, Colour: look.Text})
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
		selection.ByHue: "hue", selection.BySat: desk.ShortName(m.Pick.Model, selection.Sat), selection.ByLight: desk.ShortName(m.Pick.Model, selection.Light), selection.ByMask: "mask", selection.ByEdge: "edge", selection.ByJoin: "joined", selection.ByFound: "beyond the found edge",
	}
	for r, name := range names {
		l.names[r].SetText(name)
		l.shares[r].SetText(percent(s[r]))
	}
	look.Show(l.ranges, m.Pick.Model != selection.PlaneModel)
	look.Show(l.found, slices.ContainsFunc(m.Masks, func(k study.Mask) bool { return k.Search > 0 }))
	look.Show(l.joined, len(m.Joins) > 0)
	look.Show(l.more, l.found.Visible() || l.joined.Visible())
	l.shares[selection.In].SetText("in " + percent(s[selection.In]))
	if whole {
		l.head.SetText("Out because of")
	} else {
		l.head.SetText("Here, out because of")
	}
}

func percent(share float64) string { return fmt.Sprintf("%.1f %%", 100*share) }
