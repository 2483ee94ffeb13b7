package panels

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/colour"
)

// A trialPanel sets the grade that is tried under the chosen matte: the ten
// numbers of a CDL, and four controls that write them and read back from them.
type trialPanel struct {
	desk     *desk.Desk
	on       *look.Switch
	rows     [3]*tripleRow
	sat      *settingRow
	controls []*look.ValueRow
	pivot    *look.Number
	leftover *look.Label
	soften   *look.Button // to the least misfit
	where    *look.Switch
	verdict  *look.Label
	noise    *look.Label
	all      fyne.CanvasObject
}

// trialLabel is the width of the panel's labels, of which one is long.
const trialLabel = 108

// A tripleRow is the numbers of one of a trial's values, one a channel.
type tripleRow struct {
	name    string
	numbers [3]*look.Number
	key     *keyControl
	all     *fyne.Container
}

// tripleValues are a trial's values that are one a channel.
var tripleValues = desk.TrialValues[:3]

func newTrialPanel(d *desk.Desk, parts Parts, v *values) *trialPanel {
	p := &trialPanel{desk: d}
	small := look.Style{Size: look.SmallSize, Colour: look.Second}
	p.on = look.NewSwitch("Let this matte's grade show in the view Trial; off keeps its numbers", d.TurnTrial)
	head := container.NewBorder(nil, nil, look.NewTightLabel("A grade through the matte", look.Style{Size: look.BodySize, Colour: look.Text, Bold: true}), look.HBox(8, look.NewTightLabel("on", small), p.on))
	box := look.VBox(0, look.Fixed(0, 24, head), p.headings())
	for i := range p.rows {
		p.rows[i] = p.newTriple(i, parts.Status, v)
		box.Add(p.rows[i].all)
	}
	box.Add(p.newSaturation(parts.Status, v))
	for _, c := range study.Controls {
		box.Add(p.newControl(c, parts.Status))
		if c.Name == "contrast" {
			box.Add(p.newPivot(parts.Status))
		}
	}
	neutral := look.NewButton("Reset", d.ResetTrial)
	neutral.SetHint("The grade that changes nothing")
	read := look.NewButton("Read…", parts.Asks.ReadCDL)
	read.SetHint("Take the grade of a file of the ASC CDL: .cc, .ccc or .cdl")
	write := look.NewButton("Write…", parts.Asks.WriteCDL)
	write.SetHint("Write the grade as it is on this frame to a file of the ASC CDL")
	box.Add(look.Pad(0, 5, 0, 0, look.HBox(8, neutral, read, write)))
	box.Add(look.Pad(0, 6, 0, 0, p.newSeam(parts.Keys)))
	p.all = box
	return p
}

func (p *trialPanel) object() fyne.CanvasObject { return p.all }

// tripleLayout places a name, its key's control and three numbers, which end
// where those of the rows below do.
type tripleLayout struct{ height float32 }

func (l tripleLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, l.height) }

func (l tripleLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	const notch, gap, unit = 24, 8, 28
	put := func(o fyne.CanvasObject, x, w, h float32) {
		o.Move(fyne.NewPos(x, (s.Height-h)/2))
		o.Resize(fyne.NewSize(w, h))
	}
	put(o[0], 0, trialLabel-notch, s.Height)
	put(o[1], trialLabel-notch-6, notch, min(notch, s.Height))
	each := (s.Width - trialLabel - unit - 2*gap) / 3
	for i := range 3 {
		put(o[2+i], trialLabel+float32(i)*(each+gap), each, min(24, s.Height))
	}
}

func (p *trialPanel) headings() fyne.CanvasObject {
	o := []fyne.CanvasObject{look.HGap(0), look.HGap(0)}
	for _, name := range desk.ChannelWords {
		o = append(o, look.NewLabel(name, look.Style{Size: look.AxisSize, Colour: look.Second, Align: fyne.TextAlignTrailing}))
	}
	return container.New(tripleLayout{14}, o...)
}

func (p *trialPanel) newTriple(i int, status Status, v *values) *tripleRow {
	name := tripleValues[i]
	r := &tripleRow{name: name}
	for channel := range r.numbers {
		n := study.SettingNamed(new(study.Trial).Settings(), name+desk.Capital(desk.ChannelWords[channel]))
		spec := specOf(n.Spec)
		spec.Label, spec.Hint = "", fmt.Sprintf("%s of %s: %s", desk.Capital(name), desk.ChannelWords[channel], n.Hint)
		r.numbers[channel] = look.NewNumber(spec, func(v float64, phase study.Phase) { p.desk.SlideTrial(name, channel, v, phase) })
		r.numbers[channel].OnProblem(status.Problem)
	}
	r.key = v.newControl(desk.ValueID{Step: desk.StepTrial, Name: name})
	r.key.holds = func(f fyne.Focusable) bool {
		return slices.ContainsFunc(r.numbers[:], func(n *look.Number) bool { return n.Holds(f) })
	}
	label := look.NewLabel(desk.Capital(name), look.Style{Size: look.SmallSize, Colour: look.Second})
	r.all = container.New(tripleLayout{27}, label, r.key.Notch, r.numbers[0], r.numbers[1], r.numbers[2])
	return r
}

func (p *trialPanel) newSaturation(status Status, v *values) fyne.CanvasObject {
	s := study.SettingNamed(new(study.Trial).Settings(), "saturation")
	p.sat = &settingRow{name: s.Name}
	p.sat.ValueRow = look.NewValueRow(specOf(s.Spec), trialLabel, func(v float64, phase study.Phase) {
		frame := p.desk.Frame
		p.desk.SlideMatte("Trial: saturation", phase, func(m *study.Matte) error {
			m.Trial.Saturation.Set(frame, v)
			return nil
		})
	})
	p.sat.OnProblem(status.Problem)
	p.sat.key = v.newControl(desk.ValueID{Step: desk.StepTrial, Name: s.Name})
	p.sat.key.onRow(p.sat.ValueRow)
	return p.sat.ValueRow
}

func (p *trialPanel) newControl(c study.Control, status Status) fyne.CanvasObject {
	spec := specOf(c.Spec)
	spec.Tick, spec.Log = true, c.Min > 0
	row := look.NewValueRow(spec, trialLabel, func(v float64, phase study.Phase) {
		p.desk.Grade("Trial: "+spec.Label, phase, func(k *colour.CDLControls) { *c.Of(k) = v })
	})
	row.OnProblem(status.Problem)
	p.controls = append(p.controls, row)
	return row
}

// newPivot is what contrast turns about, and beside it what of the grade no
// control can say.
func (p *trialPanel) newPivot(status Status) fyne.CanvasObject {
	spec := specOf(study.PivotSpec)
	spec.Label = ""
	p.pivot = look.NewNumber(spec, p.desk.SetPivot)
	p.pivot.OnProblem(status.Problem)
	p.leftover = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	label := look.NewFixedLabel(trialLabel-12, "   its pivot", look.Style{Size: look.SmallSize, Colour: look.Second})
	row := container.NewBorder(nil, nil, look.HBox(12, label, container.NewCenter(look.Fixed(52, 24, p.pivot))), nil, look.Pad(10, 0, 0, 0, p.leftover))
	return look.Fixed(0, 26, row)
}

// newSeam is what is known of the seam, and what there is to do about it.
func (p *trialPanel) newSeam(keys Keys) fyne.CanvasObject {
	p.soften = look.NewButton("", p.desk.SoftenBest)
	p.soften.SetHint("Soften the matte's edge as the picture's own edge asks, so that the grade shows least")
	p.where = look.NewSwitch(keys.WithKey("A band along the edge: the wider, the larger the misfit there", "Where the edge shows"), func(on bool) {
		p.desk.Set(func() { p.desk.ShowSeam = on })
	})
	p.verdict = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text})
	p.noise = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	where := look.HBox(8, look.NewTightLabel("show where", look.Style{Size: look.SmallSize, Colour: look.Second}), p.where)
	return look.VBox(0, container.NewBorder(nil, nil, p.soften, where), p.verdict, p.noise)
}

// showSeam says how the edge carries the grade.
func (p *trialPanel) showSeam(grades bool) {
	d := p.desk
	p.where.Set(d.ShowSeam)
	s := d.Seam()
	offer, verdict, noise := "Soften: least misfit", "Nothing is graded yet.", ""
	switch {
	case grades && s == nil:
		verdict = "…"
	case grades:
		verdict, noise = desk.SeamVerdict(s).String(), desk.NoiseWords(s.Noise)
		if best, ok := d.BestSoftness(); ok {
			offer = fmt.Sprintf("Soften %s px: least misfit", desk.Trim(best, 1))
		}
	}
	p.soften.SetLabel(offer)
	if d.CanSoftenBest() {
		p.soften.Enable()
	} else {
		p.soften.Disable()
	}
	p.verdict.SetText(verdict)
	p.noise.SetText(noise)
}

func (p *trialPanel) display() {
	d := p.desk
	m := d.Matte()
	if m == nil {
		return
	}
	p.on.Set(!m.Trial.Off)
	for _, r := range p.rows {
		r.key.display()
		for channel, n := range r.numbers {
			n.Set(desk.TripleOf(&m.Trial, r.name)[channel].At(d.Frame))
		}
	}
	p.sat.key.display()
	p.sat.Set(m.Trial.Saturation.At(d.Frame))
	pivot := m.Trial.Pivot
	cdl := m.Trial.At(d.Frame).CDL()
	k, _ := desk.ReadControls(cdl, pivot)
	for i, row := range p.controls {
		row.Set(*study.Controls[i].Of(&k))
	}
	p.pivot.Set(pivot)
	p.leftover.SetText(desk.LeftOverText(cdl, pivot))
	p.showSeam(m.Trial.At(d.Frame).Grades())
}
