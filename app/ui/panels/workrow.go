package panels

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// A workRow names the steps of the work in their order, each with a mark that
// says how it stands. The one that is open is the working step.
type workRow struct {
	desk  *desk.Desk
	steps []*stepTab
	all   fyne.CanvasObject
}

type stepTab struct {
	*look.Pressable
	step desk.Step
	mark *look.MarkImage
	name *look.Label
	top  *canvas.Rectangle
}

var stepHints = map[desk.Step]string{
	desk.StepBase:  "Set light and take the water's cast out, for the whole frame",
	desk.StepPick:  "Say what is wanted by dabs; tune hue, saturation and lightness",
	desk.StepMasks: "Draw what colour cannot tell apart",
	desk.StepEdge:  "Despeckle, align and harden the pick's edge; grow, soften and settle the matte",
	desk.StepTrial: "Try a grade through the matte, and see whether its edge shows",
}

func newWorkRow(d *desk.Desk, keys Keys) *workRow {
	r := &workRow{desk: d}
	row := container.New(layout.NewGridLayout(len(desk.Steps)))
	for _, s := range desk.Steps {
		p := r.newTab(s, keys)
		r.steps = append(r.steps, p)
		row.Add(p.Pressable)
	}
	line := canvas.NewRectangle(color.NRGBA{0x6a, 0x6a, 0x6a, 0xff})
	r.all = look.Ground(look.Row, container.NewStack(container.New(thread{len(desk.Steps)}, line), row))
	return r
}

func (r *workRow) newTab(s desk.Step, keys Keys) *stepTab {
	p := &stepTab{step: s, mark: look.NewMark(look.Ring, look.Second), top: canvas.NewRectangle(color.Transparent)}
	p.name = look.NewLabel(s.String(), look.Style{Size: look.BodySize, Colour: look.Second, Align: fyne.TextAlignCenter})
	box := container.New(stepBox{}, p.top, p.mark, p.name)
	p.Pressable = look.NewPressable(box, fyne.NewSize(0, 48), keys.WithKey(stepHints[s], s.GoTo()), func() { r.desk.GoToStep(s) })
	p.FillChosen = look.Column
	p.OnKey = func(k fyne.KeyName) bool {
		to := s
		switch k {
		case fyne.KeyLeft:
			to--
		case fyne.KeyRight:
			to++
		default:
			return false
		}
		if to >= 0 && int(to) < len(desk.Steps) {
			r.desk.GoToStep(to)
			look.Focus(r.steps[to].Pressable)
		}
		return true
	}
	return p
}

// thread lays the line out on which the steps' marks stand: from the first
// one's middle to the last one's.
type thread struct{ steps int }

func (t thread) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

func (t thread) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	each := s.Width / float32(t.steps)
	objects[0].Move(fyne.NewPos(each/2, 15))
	objects[0].Resize(fyne.NewSize(s.Width-each, 1))
}

// stepBox lays out a step: a line on top, its mark, its name.
type stepBox struct{}

func (stepBox) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(48, 48) }

func (stepBox) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(fyne.NewSize(s.Width, 2))
	o[1].Move(fyne.NewPos(s.Width/2-6, 9.5))
	o[1].Resize(fyne.NewSize(12, 12))
	o[2].Move(fyne.NewPos(0, 22))
	o[2].Resize(fyne.NewSize(s.Width, 20))
}

func (r *workRow) object() fyne.CanvasObject { return r.all }

func (r *workRow) display() {
	for _, p := range r.steps {
		open := p.step == r.desk.Step
		p.SetChosen(open)
		p.top.FillColor = color.Transparent
		colour := color.Color(look.Second)
		if open {
			p.top.FillColor, colour = look.Accent, look.White
		}
		p.top.Refresh()
		p.name.SetColour(colour)
		mark, tint := markOf(r.desk, p.step)
		if open && mark != look.Triangle {
			tint = look.Accent
		}
		p.mark.Set(mark, tint)
	}
}
