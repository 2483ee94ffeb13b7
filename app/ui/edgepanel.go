package ui

import (
	"fyne.io/fyne/v2"

	"halocline/app/study"
	"halocline/app/ui/look"
)

// An edgePanel has the sliders of the edge treatment, in the order in which it is
// done.
type edgePanel struct {
	w    *window
	rows []*settingRow
	all  fyne.CanvasObject
}

// A settingRow is a slider and a number for one setting of a table.
type settingRow struct {
	*look.ValueRow
	name string
	key  *keyControl
}

// edgeControls are what the edge's sliders reach, and what is said of each, in the
// order of the study's settings. Any value the study takes may be typed.
var edgeControls = []struct {
	label, unit, about   string
	low, high, increment float64
	digits               int
}{
	{"Despeckle", "px²", "specks and pinholes smaller than this go", 0, 200, 1, 0},
	{"Align", "px", "leads the matte's border to the picture's edges", 0, 40, 0.5, 1},
	{"Harden", "", "", 0, 0.95, 0.01, 2},
	{hardenAbout, "", "the level about which the border gets steeper", 0, 1, 0.01, 2},
	{"Grow", "px", "", -20, 20, 0.5, 1},
	{"Soften", "px", "last, so nothing undoes it", 0, 40, 0.1, 1},
}

// hardenAbout is the label of the level that goes with Harden.
const hardenAbout = "about"

const labelWidth = 104

func newEdgePanel(w *window) *edgePanel {
	p := &edgePanel{w: w}
	box := look.VBox(4)
	neutral := study.NewSettings(0).Edge
	for i, c := range edgeControls {
		s := neutral.Settings()[i]
		row := &settingRow{name: s.Name}
		row.ValueRow = look.NewValueRow(look.Spec{
			Label: c.label, Unit: c.unit, Hint: c.about, Min: s.Min, Max: s.Max, Low: c.low, High: c.high,
			Increment: c.increment, Neutral: s.Neutral, Decimals: c.digits, Signed: s.Min < 0, Tick: s.Min < 0 || c.label == "Despeckle" || c.label == hardenAbout,
		}, labelWidth, func(v float64, phase look.Phase) { p.set(s.Name, editOf(c.label), v, phase) })
		row.OnProblem(w.status.problem)
		row.key = w.newKeyControl(valueID{stepEdge, s.Name})
		row.key.onRow(row.ValueRow)
		p.rows = append(p.rows, row)
		box.Add(row.ValueRow)
		if c.about != "" {
			box.Add(look.NewLabel(c.about, look.Style{Size: look.SmallSize, Colour: look.Second}))
		}
	}
	p.all = box
	return p
}

// editOf is what an edit by a slider is called.
func editOf(label string) string {
	if label == hardenAbout {
		return "Harden about"
	}
	return label
}

func (p *edgePanel) object() fyne.CanvasObject { return p.all }

func (p *edgePanel) set(name, label string, v float64, phase look.Phase) {
	frame := p.w.desk.frame
	p.w.desk.slideMatte(label, phase, func(m *study.Matte) error {
		settingOf(m.Edge.Settings(), name).Track.Set(frame, v)
		return nil
	})
}

func (p *edgePanel) display() {
	m := p.w.desk.matte()
	for _, row := range p.rows {
		if m == nil {
			row.Disable()
			continue
		}
		row.Enable()
		row.key.display()
		row.Set(settingOf(m.Edge.Settings(), row.name).Track.At(p.w.desk.frame))
	}
}

// settingOf returns the setting of a name from a table that has it.
func settingOf(all []study.Setting, name string) study.Setting {
	for _, s := range all {
		if s.Name == name {
			return s
		}
	}
	panic("ui: there is no setting " + name)
}
