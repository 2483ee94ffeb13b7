package frame

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/selection"
)

// An emptyNote says which channel leaves a matte empty, or that nothing
// limits it.
type emptyNote struct {
	desk    *desk.Desk
	drawing func() bool // whether a mask is being drawn
	text    *look.Label
	off     *look.Button
	hide    *look.Button
	all     *fyne.Container
	by      selection.Channel
	hidden  int // the matte of which the user does not want to be told that it is full; 0 for none
}

func newEmptyNote(d *desk.Desk, drawing func() bool) *emptyNote {
	n := &emptyNote{desk: d, drawing: drawing, text: look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.Text})}
	n.off = look.NewButton("", func() {
		d.EditMatte("Channel off", func(m *study.Matte) error {
			m.Pick.Limits[n.by].Off = true
			return nil
		})
	})
	n.hide = newHideButton(func() {
		n.hidden = d.MatteID
		d.Refresh()
	})
	n.all = cardOn(look.HBox(12, container.New(layout.NewCenterLayout(), n.text), n.off, n.hide))
	return n
}

func (n *emptyNote) display() {
	d := n.desk
	if d.Study() != nil && len(d.Study().Mattes) == 0 {
		n.say("There is no matte yet: press “New matte” above.", nil)
		return
	}
	if !d.Fresh() || d.Found.Matte == nil || n.drawing() {
		look.Show(n.all, false)
		return
	}
	m := d.Matte()
	switch area := d.Found.Figures.Area; {
	case area < 1e-5:
		n.by = desk.Narrowest(m.Pick.At(d.Frame))
		n.off.SetLabel("Switch " + n.by.Name(m.Pick.Model) + " off")
		button := n.off
		if m.Pick.Limits[n.by].Off {
			button = nil
		}
		n.say(fmt.Sprintf("The matte is empty: %s is the narrowest.", n.by.Name(m.Pick.Model)), button)
	case area > 0.9999 && n.hidden != d.MatteID:
		n.say(fullWords(m, d.Step), n.hide)
	default:
		look.Show(n.all, false)
	}
}

// fullWords say that a matte is full, and what a step can do about it.
func fullWords(m *study.Matte, s desk.Step) string {
	switch {
	case s == desk.StepMasks && len(m.Masks) == 0:
		return "The matte is full: draw about what it keeps, a keep mask."
	case s != desk.StepMasks && len(m.Dabs) == 0:
		return "The matte is full: press on what it must keep, a keep dab."
	}
	return "The matte is full."
}

// say shows words with one of the buttons beside them, nil for none.
func (n *emptyNote) say(text string, button *look.Button) {
	n.text.SetText(text)
	n.text.SetWidth(look.Style{Size: look.BodySize}.Measure(text).Width)
	look.Show(n.off, button == n.off)
	look.Show(n.hide, button == n.hide)
	look.Show(n.all, true)
}
