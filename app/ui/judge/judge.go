// Package judge is the foot of the column: how good the chosen matte is, on this
// frame and over the clip, against the dabs, a true matte and the last proof.
package judge

import (
	"fmt"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/view"
	"halocline/selection"
)

// A Host is what Judge asks of the window.
type Host interface {
	Canvas() fyne.Canvas
	Viewport() view.Viewport
	LookAt(view.Viewport)
	WithKey(hint, action string) string // a hint that ends with the action's key
	OpenWorst()                         // lists the worst frames
}

// A Judge says how good the chosen matte is: by the dabs, or against a true matte
// once one is loaded.
type Judge struct {
	desk     *desk.Desk
	host     Host
	by       *look.Label
	sentence *look.Label
	advice   *look.Label
	bars     [4]*bar
	figures  [4]*figure
	edge     *look.Hinted // the figure of the edge
	magnify  *magnifier
	clip     *clipPart
	proof    *lastProofCard
	seam     *seamRow
	bite     *biteRow
	numbers  []fyne.CanvasObject // and all else that is of a matte
	all      fyne.CanvasObject
}

// edgeFigure is which of the figures is the edge's width.
const edgeFigure = 1

// A bar is a name, a bar and a number.
type bar struct {
	name  *look.Label
	value *look.Label
	meter *look.Meter
	all   *look.Hinted
}

// A figure is a name and a number.
type figure struct {
	name, value *look.Label
	all         fyne.CanvasObject
}

// New is a Judge of what is on the desk; Display shows it.
func New(d *desk.Desk, host Host) *Judge {
	j := &Judge{desk: d, host: host}
	j.by = look.NewLabel("", look.Style{Size: look.AxisSize, Colour: look.Second, Align: fyne.TextAlignTrailing})
	j.sentence = look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.White, Bold: true})
	j.advice = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	head := container.NewBorder(nil, nil, look.NewTightLabel("Judge", look.Style{Size: look.JudgeSize, Colour: look.Text, Bold: true}), nil, j.by)
	var bars, figures []fyne.CanvasObject
	for i := range j.bars {
		j.bars[i] = newBar(i == 3)
		bars = append(bars, j.bars[i].all)
	}
	for i, name := range []string{"area", "edge", "holes", "specks"} {
		j.figures[i] = newFigure(name)
		hinted := look.NewHinted("", j.figures[i].all)
		if i == edgeFigure {
			j.edge = hinted
		}
		figures = append(figures, hinted)
	}
	j.magnify = newMagnifier(d, host)
	j.clip = newClipPart(d, host)
	j.seam = newSeamRow(d, host)
	j.bite = newBiteRow(d)
	j.proof = newLastProofCard(d)
	full := look.VBox(8, j.clip.all, j.magnify.all, j.proof.all)
	j.numbers = []fyne.CanvasObject{j.bite.all, container.New(columns{barShares}, bars...), container.New(columns{figureShares}, figures...), j.seam.all, container.New(tallOnly{host}, full)}
	box := look.VBox(3, append([]fyne.CanvasObject{head, j.sentence, j.advice}, j.numbers...)...)
	j.all = look.Ground(look.Row, look.Pad(12, 8, 12, 8, box))
	return j
}

// columns gives four columns their shares of the width.
type columns struct{ shares [4]float32 }

// The last bar has the longest name. Of the figures, an area of 100.0 % and a width of three
// digits have room in the narrow column of a window 1280 wide. Of a grade's, that of the noise has the
// longest name.
var (
	barShares    = [4]float32{0.248, 0.24, 0.224, 0.288}
	figureShares = [4]float32{0.255, 0.265, 0.235, 0.245}
	seamShares   = [4]float32{0.21, 0.23, 0.25, 0.31}
)

func (columns) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(200, o[0].MinSize().Height)
}

func (c columns) Layout(o []fyne.CanvasObject, s fyne.Size) {
	const gap = 10
	x := float32(0)
	for i, share := range c.shares {
		w := share * (s.Width - 3*gap)
		o[i].Move(fyne.NewPos(x, 0))
		o[i].Resize(fyne.NewSize(w, s.Height))
		x += w + gap
	}
}

// tallOnly gives its object room only where the window is high enough.
type tallOnly struct{ host Host }

func (t tallOnly) MinSize(o []fyne.CanvasObject) fyne.Size {
	if t.host.Canvas().Size().Height < look.TallFrom {
		return fyne.Size{}
	}
	return o[0].MinSize()
}

func (t tallOnly) Layout(o []fyne.CanvasObject, s fyne.Size) {
	look.Show(o[0], s.Height > 8)
	o[0].Resize(s)
}

func newBar(bold bool) *bar {
	b := &bar{meter: look.NewMeter(0, 1)}
	b.name = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text, Bold: bold})
	b.value = look.NewFixedLabel(22, "", look.Style{Size: look.SmallSize, Colour: look.Text, Bold: bold, Align: fyne.TextAlignTrailing})
	b.all = look.NewHinted("", look.VBox(2, container.NewBorder(nil, nil, nil, b.value, b.name), b.meter))
	return b
}

func newFigure(name string) *figure {
	f := &figure{name: look.NewTightLabel(name, look.Style{Size: look.SmallSize, Colour: look.Second}), value: look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text, Align: fyne.TextAlignTrailing})}
	f.all = container.NewBorder(nil, nil, f.name, nil, f.value)
	return f
}

// Object is what stands in the column.
func (j *Judge) Object() fyne.CanvasObject { return j.all }

// Display shows what the desk knows of the chosen matte.
func (j *Judge) Display() {
	m := j.desk.Matte()
	for _, o := range j.numbers {
		look.Show(o, m != nil)
	}
	h := j.desk.Headline()
	j.by.SetText(h.By)
	j.sentence.SetText(h.Sentence)
	j.advice.SetText(h.Advice)
	if m == nil {
		return
	}
	f := &j.desk.Found
	switch {
	case f.MatteID == m.ID && f.Truth != nil && j.desk.TrueOf == m.ID:
		j.truthBars(f)
	case j.desk.MasksAlone():
		j.emptyBars()
	default:
		j.dabBars(m)
	}
	j.bite.display(j.desk.Bite())
	j.showFigures(f, f.MatteID == m.ID)
	j.seam.display()
	j.clip.display()
	j.proof.display()
	j.age(j.desk.Fresh())
	j.magnify.display()
}

// age shows figures that are still being worked out anew in the colour of what
// is not to be used.
func (j *Judge) age(fresh bool) {
	strong, plain := color.Color(look.White), color.Color(look.Text)
	if !fresh && !j.desk.Dragging() {
		strong, plain = look.Off, look.Off
	}
	j.sentence.SetColour(strong)
	for i := range j.bars {
		j.bars[i].value.SetColour(plain)
		j.figures[i].value.SetColour(plain)
	}
}

// truthBars show what is shared with the true matte: missed and extra are shares of its area.
func (j *Judge) truthBars(f *watch.Findings) {
	for i, v := range []struct {
		name  string
		value float64
	}{{"overlap", f.Truth.Overlap}, {"missed", f.Truth.Missed}, {"extra", f.Truth.Extra}} {
		j.bars[i].set(v.name, fmt.Sprintf("%.0f", 100*v.value), v.value, -1)
		j.bars[i].all.SetHint("Against the true matte, in % of its area")
	}
	j.bars[3].set("", "", -1, -1)
}

// emptyBars show nothing: no dab tells of the colours of a matte that masks alone make.
func (j *Judge) emptyBars() {
	for _, b := range j.bars {
		b.set("", "", -1, -1)
	}
}

// dabBars show how well colour tells the dabs apart, by the one figure that is said of each:
// selection.Separability.Tells.
func (j *Judge) dabBars(m *study.Matte) {
	p := j.desk.KnownSeparation()
	model := m.Pick.Model
	if p != nil {
		model = p.Model
	}
	names := barNames(model)
	for i, b := range j.bars {
		b.all.SetHint("Of 100 pairs of a kept and a dropped pixel, how many it tells apart: tested on dabs it was not fitted to")
		switch {
		case names[i] == "":
			b.set("", "", -1, -1)
		case p == nil:
			b.set(names[i], "…", -1, -1)
		default:
			of := p.Pick
			if channels := model.Channels(); i < len(channels) {
				of = p.Channels[channels[i]]
			}
			b.set(names[i], desk.Hundred(of.Tells()), desk.AboveChance(of.Tells()), desk.AboveChance(of.Could))
		}
	}
}

// barNames are what the channels' bars are called, "" for those that a plane has not, and the last bar.
func barNames(m selection.Model) (names [selection.Channels + 1]string) {
	names[selection.Channels] = "together"
	for i, c := range m.Channels() {
		names[i] = desk.ShortName(m, c)
	}
	return names
}

// set shows a value; a bar without a name is empty.
func (b *bar) set(name, value string, reach, could float64) {
	if name == "" {
		value = ""
	}
	b.name.SetText(name)
	b.value.SetText(value)
	look.Show(b.meter, name != "")
	b.meter.Set(max(reach, 0), max(could, 0))
}

func (j *Judge) showFigures(f *watch.Findings, known bool) {
	texts := [4]string{"…", "…", "…", "…"}
	if known && f.Matte != nil {
		texts = [4]string{study.AreaWords(f.Figures.Area, true), desk.Trim(f.Figures.EdgeWidth, edgeDigits(f.Figures.EdgeWidth)) + " px", fmt.Sprint(f.Figures.Holes), fmt.Sprint(f.Figures.Specks)}
	}
	for i, t := range texts {
		j.figures[i].value.SetText(t)
	}
	hint := "How wide the edge is, in pixels"
	if words := j.desk.EdgeWords(); words != "" {
		hint += "; of its length " + words
	}
	j.edge.SetHint(hint)
}

// edgeDigits is how finely a width is said.
func edgeDigits(px float64) int {
	if px < 10 {
		return 1
	}
	return 0
}

// Next shows the next of the worst edges, in the magnifier and on the frame.
func (j *Judge) Next() { j.magnify.next() }
