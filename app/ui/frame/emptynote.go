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
	desk *desk.Desk
	text *look.Label
	off  *look.Button
	all  *fyne.Container
	by   selection.Channel
}

func newEmptyNote(d *desk.Desk) *emptyNote {
	n := &emptyNote{desk: d, text: look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.Text})}
	n.off = look.NewButton("", func() {
		d.EditMatte("Channel off", func(m *study.Matte) error {
			m.Pick.Limits[n.by].Off = true
			return nil
		})
	})
	n.all = cardOn(look.HBox(12, container.New(layout.NewCenterLayout(), n.text), n.off))
	return n
}

func (n *emptyNote) display() {
	d := n.desk
	if d.Study() != nil && len(d.Study().Mattes) == 0 {
		n.say("There is no matte yet: press “New matte” above.", false)
		return
	}
	if !d.Fresh() || d.Found.Matte == nil {
		look.Show(n.all, false)
		return
	}
	m := d.Matte()
	switch area := d.Found.Figures.Area; {
	case area < 1e-5:
		n.by = desk.Narrowest(m.Pick.At(d.Frame))
		limited := !m.Pick.Limits[n.by].Off
		n.say(fmt.Sprintf("The matte is empty: %s is the narrowest.", n.by.Name(m.Pick.Model)), limited)
		n.off.SetLabel("Switch " + n.by.Name(m.Pick.Model) + " off")
	case area > 0.9999 && len(m.Dabs) == 0:
		n.say("The matte is full: press on what it must keep, a keep dab.", false)
	case area > 0.9999:
		n.say("The matte is full.", false)
	default:
		look.Show(n.all, false)
	}
}

func (n *emptyNote) say(text string, button bool) {
	n.text.SetText(text)
	n.text.SetWidth(look.Style{Size: look.BodySize}.Measure(text).Width)
	look.Show(n.off, button)
	look.Show(n.all, true)
}
