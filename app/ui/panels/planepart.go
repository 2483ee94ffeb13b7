package panels

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/field"
	"halocline/app/ui/look"
	"halocline/selection"
)

// A planePart tunes a pick by plane, in place of the rows of three channels: the line on
// which the level and its fades are dragged, and their numbers.
type planePart struct {
	panel      *pickPanel
	line       *field.PlaneLine
	on, allBut *look.Switch
	numbers    [3]*look.Number // as planeNumbers
	key        *keyControl
	heads      *fyne.Container
	keyHead    fyne.CanvasObject // seen while the row has a key
	all        *fyne.Container
}

// planeNumbers are the numbers of a plane as they stand beside one another.
var planeNumbers = [3]study.Spec{study.DropFadeSpec, study.LevelSpec, study.KeepFadeSpec}

func newPlanePart(p *pickPanel, status Status, v *values) *planePart {
	a := &planePart{panel: p, line: field.NewPlaneLine(p.edited)}
	change := func(label string, f func(l *study.Limit)) { p.changeLimit(selection.Across, label, f) }
	a.on = look.NewSwitch("Off: the plane lets everything in; its numbers are kept", func(on bool) {
		change("Plane on or off", func(l *study.Limit) { l.Off = !on })
	})
	a.allBut = look.NewSwitch("All but this: what lies on the keep side is left out", func(on bool) {
		change("All but this", func(l *study.Limit) { l.Inverted = on })
	})
	for i, n := range planeNumbers {
		spec := specOf(n)
		spec.Signed = false // a level of 12 is no change by 12
		a.numbers[i] = look.NewNumber(spec, func(value float64, phase study.Phase) { p.typedOfPlane(n, value, phase) })
		a.numbers[i].OnProblem(status.Problem)
	}
	a.key = v.newControl(desk.ValueID{Step: desk.StepPick, Name: desk.PlaneValue})
	a.key.holds = func(f fyne.Focusable) bool {
		return f == fyne.Focusable(a.line) || slices.ContainsFunc(a.numbers[:], func(n *look.Number) bool { return n.Holds(f) })
	}
	name := look.NewLabel("Plane", look.Style{Size: look.SmallSize, Colour: look.Text})
	row := container.New(limitLayout{}, a.on, name, a.numbers[0], a.numbers[1], a.numbers[2], look.HGap(0), a.allBut, a.key.Notch)
	a.key.relay = row.Refresh
	a.all = look.VBox(2, a.line, a.headings(), row)
	return a
}

// headings are the names above a plane's numbers.
func (a *planePart) headings() fyne.CanvasObject {
	style := look.Style{Size: look.AxisSize, Colour: look.Second, Align: fyne.TextAlignTrailing}
	o := []fyne.CanvasObject{look.NewLabel("", style), look.NewLabel("", style)}
	for _, name := range []string{"fade", "level", "fade", ""} {
		o = append(o, look.NewLabel(name, style))
	}
	a.keyHead = look.HGap(1)
	a.heads = container.New(headLayout{}, append(o, look.NewTightLabel("all but this", style), a.keyHead)...)
	return look.Fixed(0, 16, a.heads)
}

// typedOfPlane takes one number of a plane.
func (p *pickPanel) typedOfPlane(n study.Spec, v float64, phase study.Phase) {
	m := p.desk.Matte()
	if m == nil || m.Pick.Model != selection.PlaneModel {
		return
	}
	frame := p.desk.Frame
	pick := m.Pick.At(frame)
	r := &pick.Limits[selection.Across].Range
	*r = study.WithPlaneNumber(*r, n.Name, v)
	p.desk.Slide(fmt.Sprintf("Plane: %s", n.Label), phase, func(_ *study.Study, m *study.Matte) error {
		desk.PutPick(m, pick, frame)
		return nil
	})
}

func (a *planePart) display(pick selection.Pick) {
	l := pick.Limits[selection.Across]
	a.key.display()
	a.on.Set(!l.Off)
	a.allBut.Set(l.Inverted)
	if several := a.panel.desk.Several(); several != a.keyHead.Visible() {
		look.Show(a.keyHead, several)
		a.heads.Refresh()
	}
	for i, n := range planeNumbers {
		a.numbers[i].Set(study.PlaneNumber(l.Range, n.Name))
		if l.Off {
			a.numbers[i].Disable()
		} else {
			a.numbers[i].Enable()
		}
	}
	found := &a.panel.desk.Found
	if found.MatteID == a.panel.desk.MatteID {
		a.line.Display(pick, found.Dabs)
	} else {
		a.line.Display(pick, nil)
	}
}

// A planeOffer is a card that says that a plane does better than the ranges, and takes it.
type planeOffer struct {
	desk *desk.Desk
	text *look.Paragraph
	all  *fyne.Container
}

func newPlaneOffer(d *desk.Desk) *planeOffer {
	o := &planeOffer{desk: d, text: look.NewParagraph(2, "", look.Style{Size: look.SmallSize, Colour: look.Text})}
	try := look.NewButton("Try the plane", func() { d.UseModel(selection.PlaneModel) })
	try.SetHint("Pick what lies on one side of a plane in CIELAB, fitted to the dabs, in place of the three ranges; one undo takes it back")
	o.all = look.Ground(look.Card, look.Pad(8, 4, 6, 4, container.NewBorder(nil, nil, nil, container.NewCenter(try), o.text)))
	o.all.Hide()
	return o
}

func (o *planeOffer) display() {
	words := o.desk.PlaneOffer()
	if words != "" {
		o.text.SetText(words)
	}
	look.Show(o.all, words != "" && !o.desk.ShowSeparation) // separation says it, and needs the room
}
