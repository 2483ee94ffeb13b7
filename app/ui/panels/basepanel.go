package panels

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/work"
	"halocline/colour"
)

// A basePanel sets light and takes the water out, for the whole frame.
type basePanel struct {
	desk               *desk.Desk
	picture            Picture
	values             *values
	grey, water, black *look.Button
	on                 *look.Switch
	path               *look.ValueRow
	kind               *look.Select
	parade             *parade
	meets              *look.Label
	means              [3]*look.Label
	light              map[string]*look.ValueRow
	beyond             *look.Switch
	share              *look.Label
	input              *look.Select
	lastWater          string // to switch on again
	keys               []*keyControl
	all                fyne.CanvasObject
}

func newBasePanel(d *desk.Desk, parts Parts, v *values) *basePanel {
	p := &basePanel{desk: d, picture: parts.Picture, values: v, light: map[string]*look.ValueRow{}, lastWater: work.StartWater}
	small := look.Style{Size: look.SmallSize, Colour: look.Second}
	heading := look.Style{Size: look.BodySize, Colour: look.Text, Bold: true}
	p.grey = look.NewButton("Grey", func() { d.SampleBase(desk.PressGrey) })
	p.grey.SetHint(parts.Keys.WithKey("A press on something grey makes its red, green and blue meet", desk.PressOnGrey))
	p.water = look.NewButton("Open water", func() { d.SampleBase(desk.PressWater) })
	p.water.SetHint(parts.Keys.WithKey("A press on open water takes its own light out", desk.PressOnWater))
	p.black = look.NewButton("Black", func() { d.SampleBase(desk.PressBlack) })
	p.black.SetHint(parts.Keys.WithKey("A press on something black takes the light of the water before it out, whatever the path length", desk.PressOnBlack))
	p.on = look.NewSwitch("Take the water out", p.switchWater)
	path := study.SettingNamed(new(study.Base).Settings(), "path")
	p.path = look.NewValueRow(specOf(path.Spec), labelWidth, func(v float64, phase study.Phase) { p.set(path.Name, path.Title(), v, phase) })
	p.path.OnProblem(parts.Status.Problem)
	p.key("path").onRow(p.path)
	p.kind = look.NewSelect(colour.WaterNames(), "How fast the water takes the light: I is the clearest ocean, 9C the murkiest coast", func(i int) { p.setWater(colour.WaterNames()[i]) })
	p.input = look.NewSelect(curveLabels, "How the source's values stand for light: a log or flat clip has another curve than sRGB", func(i int) { p.setInput(colour.Transfer(i)) })
	p.parade = newParade()
	p.meets = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text})
	means := container.New(layout.NewGridLayout(3))
	for i := range p.means {
		p.means[i] = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text, Align: fyne.TextAlignCenter})
		means.Add(p.means[i])
	}
	p.beyond = look.NewSwitch(parts.Keys.WithKey("Mark with plus signs what no Base can bring back", desk.BeyondLabel), func(on bool) { d.Set(func() { d.ShowBeyond = on }) })
	p.share = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second, Align: fyne.TextAlignTrailing})
	gap := func(o ...fyne.CanvasObject) fyne.CanvasObject {
		return look.HBox(8, o...)
	}
	press := look.NewTightLabel("Press on", look.Style{Size: look.SmallSize, Colour: look.Second})
	sampled := look.HBox(3, press, p.grey, p.key(desk.GreyValue).Notch, p.water, p.key(desk.WaterValue).Notch, p.black, p.key(desk.BlackValue).Notch)
	for _, k := range p.keys {
		if k.relay == nil {
			k.relay = sampled.Refresh
		}
	}
	box := look.VBox(6,
		container.NewBorder(nil, nil, look.NewTightLabel("Water", heading), gap(look.NewTightLabel("on", small), p.on), look.Pad(0, 0, 10, 0, look.NewTightLabel("whole frame, before any pick", look.Style{Size: look.AxisSize, Colour: look.Second, Align: fyne.TextAlignTrailing}))),
		container.NewBorder(nil, nil, sampled, nil),
		p.path,
		container.NewBorder(nil, nil, look.NewFixedLabel(labelWidth, "Water type", look.Style{Size: look.SmallSize, Colour: look.Text}),
			look.Pad(8, 0, 0, 0, look.NewTightLabel("Jerlov 1976", small)), p.kind),
		p.parade, look.Pad(paradeAxis, 0, 0, 0, means), p.meets,
		container.NewBorder(nil, nil, look.NewTightLabel("Light", heading), look.HBox(8, look.NewTightLabel("source's curve", small), look.Fixed(112, 24, p.input))))
	for _, n := range desk.LightSettings(new(study.Base)) {
		row := look.NewValueRow(specOf(n.Spec), labelWidth, func(v float64, phase study.Phase) { p.set(n.Name, n.Title(), v, phase) })
		row.OnProblem(parts.Status.Problem)
		p.key(n.Name).onRow(row)
		p.light[n.Name] = row
		box.Add(row)
	}
	box.Add(container.NewBorder(nil, nil, nil, gap(look.Fixed(60, 24, p.share), p.beyond),
		look.NewTightLabel(desk.BeyondLabel, look.Style{Size: look.SmallSize, Colour: look.Text})))
	p.all = box
	return p
}

func (p *basePanel) object() fyne.CanvasObject { return p.all }

// key makes the control of a value's keys.
func (p *basePanel) key(name string) *keyControl {
	k := p.values.newControl(desk.ValueID{Step: desk.StepBase, Name: name})
	p.keys = append(p.keys, k)
	return k
}

func (p *basePanel) set(name, label string, v float64, phase study.Phase) {
	frame := p.desk.Frame
	p.desk.Slide(label, phase, func(s *study.Study, _ *study.Matte) error {
		study.SettingNamed(s.Base.Settings(), name).Track.Set(frame, v)
		if name == "path" && s.Base.Water == "" {
			s.Base.Water = p.lastWater
		}
		return nil
	})
}

// curveLabels are the source's curves by name, in their order.
var curveLabels = []string{"sRGB", "BT.709", "HLG", "ACEScct"}

func (p *basePanel) setInput(t colour.Transfer) {
	p.desk.Edit("Source's curve", func(s *study.Study, _ *study.Matte) error {
		s.Base.Input = t
		return nil
	})
}

func (p *basePanel) setWater(name string) {
	p.lastWater = name
	p.desk.Edit("Water type", func(s *study.Study, _ *study.Matte) error {
		s.Base.Water = name
		return nil
	})
}

func (p *basePanel) switchWater(on bool) {
	frame := p.desk.Frame
	p.desk.Edit("Water out", func(s *study.Study, _ *study.Matte) error {
		if !on {
			p.lastWater = s.Base.Water
			s.Base.Water = ""
			return nil
		}
		s.Base.Water = p.lastWater
		if s.Base.Path.At(frame) == 0 {
			s.Base.Path.Set(frame, work.StartPath)
		}
		return nil
	})
}

func (p *basePanel) display() {
	d := p.desk
	s := d.Study()
	if s == nil {
		return
	}
	p.grey.SetChosen(d.Press == desk.PressGrey)
	p.water.SetChosen(d.Press == desk.PressWater)
	p.black.SetChosen(d.Press == desk.PressBlack)
	for _, k := range p.keys {
		k.display()
	}
	p.on.Set(s.Base.Water != "")
	if s.Base.Water != "" {
		p.lastWater = s.Base.Water
	}
	for i, name := range colour.WaterNames() {
		if name == p.lastWater {
			p.kind.Set(i)
		}
	}
	p.input.Set(int(s.Base.Input))
	p.path.Set(s.Base.Path.At(d.Frame))
	for name, row := range p.light {
		row.Set(study.SettingNamed(s.Base.Settings(), name).Track.At(d.Frame))
	}
	p.beyond.Set(d.ShowBeyond)
	p.share.SetText("")
	if d.ShowBeyond {
		p.share.SetText(fmt.Sprintf("%.0f %%", 100*p.picture.BeyondShare()))
	}
	p.showGrey(s)
}

// showGrey draws the traces of the grey that was sampled.
func (p *basePanel) showGrey(s *study.Study) {
	d := p.desk
	src := d.SourceNow()
	grey := d.GreySpot()
	if grey == nil || src == nil {
		p.parade.show(nil, nil)
		p.meets.SetText("Press on something grey to see its traces.")
		if f, ok := d.GreyFrame(); ok && grey == nil {
			p.meets.SetText(fmt.Sprintf("The grey was taken at frame %d; press on it here to see its traces.", f))
		}
		for _, m := range p.means {
			m.SetText("")
		}
		return
	}
	before, after := greyTraces(src, s.Base.At(d.Frame), *grey)
	p.parade.show(before, after)
	mean := meanColour(after)
	for i, v := range mean {
		p.means[i].SetText(desk.Fixed(v, 3))
	}
	apart := max(mean[0], mean[1], mean[2]) - min(mean[0], mean[1], mean[2])
	if apart <= meetWithin {
		p.meets.SetText(fmt.Sprintf("The grey's traces meet: %.3f apart.", apart))
	} else {
		p.meets.SetText(fmt.Sprintf("The grey's traces are %.3f apart.", apart))
	}
}

// meetWithin is how far apart, display encoded, the traces of a grey may be to
// look grey: a colour difference of about one (common practice, no source).
const meetWithin = 0.01

// greyTraces returns the pixels of a disc as they came and after base, ordered
// from left to right.
func greyTraces(src *colour.Image, base colour.Base, at desk.Spot) (before, after []trace3) {
	w, h := src.Size()
	colour.EachInDisc(at.X, at.Y, at.Radius, w, h, func(x, y int) {
		c := src.RGB(x, y)
		d := base.Colour(c)
		u := (float64(x) + 0.5 - at.X + at.Radius) / max(2*at.Radius, 1)
		before = append(before, trace3{u, [3]float64{c.R, c.G, c.B}})
		after = append(after, trace3{u, [3]float64{d.R, d.G, d.B}})
	})
	return before, after
}

// A trace3 is one pixel of a parade: where across, in [0,1], and its values.
type trace3 struct {
	u float64
	v [3]float64
}

func meanColour(all []trace3) (mean [3]float64) {
	for _, t := range all {
		for i, v := range t.v {
			mean[i] += v / float64(len(all))
		}
	}
	return mean
}
