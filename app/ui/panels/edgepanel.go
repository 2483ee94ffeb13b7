package panels

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// An edgePanel has the sliders of the edge treatment, in the order in which it is
// done, and a line where masks and joined mattes come in.
type edgePanel struct {
	desk *desk.Desk
	rows []*settingRow
	all  fyne.CanvasObject
}

// A settingRow is a slider and a number for one setting of a table.
type settingRow struct {
	*look.ValueRow
	name string
	key  *keyControl
}

const (
	labelWidth     = 104
	edgeLabelWidth = 124 // "Harden about" and the button of its keys
)

func newEdgePanel(d *desk.Desk, parts Parts, v *values) *edgePanel {
	p := &edgePanel{desk: d}
	box := look.VBox(4)
	edge := new(study.Edge)
	for _, s := range edge.Settings() {
		if s.Track == &edge.Grow {
			box.Add(look.NewLabel("Here masks cut, and joined mattes are taken in. Then:", look.Style{Size: look.SmallSize, Colour: look.Text}))
		}
		row := &settingRow{name: s.Name}
		row.ValueRow = look.NewValueRow(specOf(s.Spec), edgeLabelWidth, func(v float64, phase study.Phase) { p.set(s.Name, s.Title(), v, phase) })
		row.OnProblem(parts.Status.Problem)
		row.key = v.newControl(desk.ValueID{Step: desk.StepEdge, Name: s.Name})
		row.key.onRow(row.ValueRow)
		p.rows = append(p.rows, row)
		box.Add(row.ValueRow)
		box.Add(look.NewLabel(s.Hint, look.Style{Size: look.SmallSize, Colour: look.Second}))
	}
	p.all = box
	return p
}

func (p *edgePanel) object() fyne.CanvasObject { return p.all }

func (p *edgePanel) set(name, label string, v float64, phase study.Phase) {
	frame := p.desk.Frame
	p.desk.SlideMatte(label, phase, func(m *study.Matte) error {
		study.SettingNamed(m.Edge.Settings(), name).Track.Set(frame, v)
		return nil
	})
}

func (p *edgePanel) display() {
	m := p.desk.Matte()
	for _, row := range p.rows {
		if m == nil {
			row.Disable()
			continue
		}
		row.Enable()
		row.key.display()
		row.Set(study.SettingNamed(m.Edge.Settings(), row.name).Track.At(p.desk.Frame))
	}
}
