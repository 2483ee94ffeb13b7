package panels

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/ui/look"
	"halocline/selection"
)

// A separation says beside the field how well the dabs are told apart: by each channel, by
// the pick, and by the plane that is the ceiling. It stands in place of the numbers.
type separation struct {
	desk     *desk.Desk
	plot     *rocPlot
	rows     [5]*fyne.Container
	names    [5]*look.Label
	set      [5]*look.Label
	could    [5]*look.Label
	sentence *look.Paragraph
	marks    *look.Switch
	marked   *look.Label
	all      *fyne.Container
}

const rocSide = 96

const rocHint = "Each threshold on the weights is a point: upward the keep dabs' pixels that are in, to the right the drop dabs' pixels that are in. Lines: as set; thick grey: what the pick could do on dabs it was not fitted to"

func newSeparation(d *desk.Desk, keys Keys) *separation {
	p := &separation{desk: d, plot: newRocPlot(rocSide)}
	small := look.Style{Size: look.SmallSize, Colour: look.Text}
	axis := look.Style{Size: look.AxisSize, Colour: look.Second, Align: fyne.TextAlignTrailing}
	rows := look.VBox(0, container.New(separationLayout{}, look.HGap(0), look.HGap(0), look.NewLabel("set", axis), look.NewLabel("could (95 %)", axis)))
	for i := range p.names {
		p.names[i] = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second, Bold: i == 3})
		p.set[i] = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text, Bold: i == 3, Align: fyne.TextAlignTrailing})
		p.could[i] = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text, Align: fyne.TextAlignTrailing})
		p.rows[i] = container.New(separationLayout{}, dashSample(i), p.names[i], p.set[i], p.could[i])
		rows.Add(p.rows[i])
	}
	p.sentence = look.NewParagraph(3, "", look.Style{Size: look.AxisSize, Colour: look.Text})
	p.marks = look.NewSwitch(keys.WithKey("On the frame: discs where a keep dab's pixel is lost, squares where a drop dab's is caught", "Misclassified pixels of the dabs"), func(on bool) {
		d.Set(func() { d.ShowMisclassified = on })
	})
	p.marked = look.NewLabel("", small)
	p.all = look.VBox(4,
		look.HFill(8, 1, look.NewHinted(rocHint, p.plot), rows),
		container.NewBorder(nil, nil, nil, p.marks, p.marked),
		p.sentence)
	return p
}

// separationLayout places a line, a name and two figures.
type separationLayout struct{}

func (separationLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(180, 16) }

func (separationLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	put := func(o fyne.CanvasObject, x, y, w, h float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(w, h))
	}
	put(o[0], 0, s.Height/2-5, 22, 10)
	put(o[1], 27, 0, 58, s.Height)
	could := (s.Width - 85) * 0.72
	put(o[2], 85, 0, s.Width-85-could, s.Height)
	put(o[3], s.Width-could, 0, could, s.Height)
}

// separationNames are what tells the dabs apart, in the order of the curves; "" for channels
// that a plane has not.
func separationNames(m selection.Model) [5]string {
	if m == selection.PlaneModel {
		return [5]string{"", "", "", "the pick", "any plane"}
	}
	return [5]string{"hue", desk.ShortName(m, selection.Sat), "light", "together", "plane"}
}

// separabilities are the figures of a separation in the order of the curves.
func separabilities(s *selection.Separation) [5]selection.Separability {
	return [5]selection.Separability{s.Channels[0], s.Channels[1], s.Channels[2], s.Pick, s.Plane}
}

func (p *separation) display() {
	m := p.desk.Matte()
	if m == nil || !p.all.Visible() {
		return
	}
	p.marks.Set(p.desk.ShowMisclassified)
	p.marked.SetText(p.desk.MisclassifiedText())
	for i, name := range separationNames(m.Pick.Model) {
		p.names[i].SetText(name)
		look.Show(p.rows[i], name != "")
	}
	s := p.desk.Found.Separation
	if s == nil || p.desk.Found.MatteID != m.ID {
		p.plot.show(nil)
		for i := range p.set {
			p.set[i].SetText("…")
			p.could[i].SetText("…")
		}
		p.sentence.SetText("Set dabs of both kinds to learn how well colour tells them apart.")
		return
	}
	curves := make([][]selection.ROCPoint, len(curvePens))
	for i, part := range separabilities(s) {
		curves[i] = part.SetCurve
		p.set[i].SetText(desk.Hundred(part.Set))
		p.could[i].SetText("–")
		if s.Enough() {
			p.could[i].SetText(fmt.Sprintf("%s (%.0f–%.0f)", desk.Hundred(part.Could), 100*part.Could.Low, 100*part.Could.High))
		}
	}
	curves[len(p.set)] = s.Pick.CouldCurve
	p.plot.show(curves)
	p.sentence.SetText(s.Sentence())
}
