package ui

import (
	"fmt"
	"image"
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/viewer"
	"halocline/selection"
)

// Overlays are what lies on the frame besides its marks: the hint at the start,
// the legend of Reasons, the card that says why a pixel is in or out, a note
// where a matte holds nothing or everything.
type overlays struct {
	w      *window
	hint   *fyne.Container
	legend *legend
	card   *reasonCard
	note   *emptyNote
	all    *fyne.Container

	hideHint bool
	asked    *askedPixel
	pinned   bool
	waiting  *time.Timer
	last     viewer.Pointer
}

// An askedPixel is a pixel whose reason is asked for.
type askedPixel struct {
	x, y  int
	value selection.Point // as the pick reads it
}

func newOverlays(w *window) overlays {
	o := overlays{w: w, legend: newLegend(), card: newReasonCard(w), note: newEmptyNote(w)}
	o.hint = newHint(w)
	o.hint.Hide()
	o.legend.all.Hide()
	o.card.all.Hide()
	o.note.all.Hide()
	o.all = container.New(overLayout{}, o.legend.all, o.hint, o.note.all, o.card.all)
	return o
}

func (o *overlays) object() fyne.CanvasObject { return o.all }

// overLayout puts legend and note at the lower left, the hint along the foot.
// The card is placed by hand.
type overLayout struct{}

func (overLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

func (overLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	legend, hint, note := o[0], o[1], o[2]
	foot := s.Height - 16
	if hint.Visible() {
		size := hint.MinSize()
		hint.Resize(fyne.NewSize(max(min(s.Width-32, 980), 0), size.Height))
		hint.Move(fyne.NewPos(16, foot-size.Height))
		foot -= size.Height + 8
	}
	for _, c := range []fyne.CanvasObject{legend, note} {
		if c.Visible() {
			size := c.MinSize()
			c.Resize(fyne.NewSize(min(size.Width, max(s.Width-32, 0)), size.Height))
			c.Move(fyne.NewPos(16, foot-size.Height))
			foot -= size.Height + 8
		}
	}
}

// card is a dark plate on the frame.
func cardOn(content fyne.CanvasObject) *fyne.Container {
	back := canvas.NewRectangle(look.Well)
	back.StrokeColor, back.StrokeWidth, back.CornerRadius = look.Chosen, 1, 4
	return container.NewStack(back, look.Pad(16, 10, 16, 10, content))
}

func newHint(w *window) *fyne.Container {
	text := look.VBox(2,
		look.NewTightLabel("The skin nearly holds, but lit sand comes along.", look.Style{Size: look.BodySize, Colour: look.White, Bold: true}),
		look.NewTightLabel("Drop a dab on bright sand (right button), or draw a keep mask around arms, face and legs. Unhatched = held.", look.Style{Size: look.SmallSize, Colour: look.Second}))
	draw := look.NewButton("Draw a keep mask", func() { w.newMask(study.Keep) })
	hide := look.NewButton("Hide hint", func() {
		w.marks.hideHint = true
		w.bench.changed()
	})
	hide.Kind = look.Quiet
	return cardOn(container.NewBorder(nil, nil, nil, container.NewCenter(look.HBox(8, draw, hide)), text))
}

func (o *overlays) showHint() {
	o.hideHint = false
	o.w.bench.changed()
}

// display shows what the state of the bench asks for.
func (o *overlays) display() {
	b := o.w.bench
	show(o.hint, b.sample && !o.hideHint && !b.dragging() && !o.w.drawing() && b.view != viewer.Reasons && len(b.session.UndoLabels()) == 0)
	show(o.legend.all, b.view == viewer.Reasons && b.matte() != nil)
	o.note.display()
	if b.view != viewer.Reasons {
		o.forget()
	} else if o.asked != nil {
		o.ask(o.asked.x, o.asked.y)
	}
	o.all.Layout.Layout(o.all.Objects, o.all.Size())
}

func show(o fyne.CanvasObject, visible bool) {
	if visible != o.Visible() {
		if visible {
			o.Show()
		} else {
			o.Hide()
		}
	}
}

// shown takes what is said of the picture that is on the screen.
func (o *overlays) shown(s *showing) {
	if s != nil && s.layers.Reasons != nil {
		o.legend.set(o.w.bench.matte(), s.shares, s.whole)
	}
}

// askDelay is how long the pointer must rest on a pixel to ask about it.
const askDelay = 300 * time.Millisecond

// point follows the pointer: where it rests in Reasons, the pixel is asked
// about.
func (o *overlays) point(p viewer.Pointer, inside bool) {
	o.last = p
	if o.waiting != nil {
		o.waiting.Stop()
	}
	if o.w.bench.view != viewer.Reasons || o.pinned {
		return
	}
	if o.asked != nil && (!inside || math.Abs(p.X-float64(o.asked.x)-0.5)+math.Abs(p.Y-float64(o.asked.y)-0.5) > 3+6/o.w.viewer.Viewport().Zoom) {
		o.forget()
	}
	if !inside {
		return
	}
	o.waiting = time.AfterFunc(askDelay, func() {
		fyne.Do(func() {
			if o.last == p && o.w.bench.view == viewer.Reasons && !o.pinned {
				o.ask(int(math.Floor(p.X)), int(math.Floor(p.Y)))
			}
		})
	})
}

// pin asks about a pixel and keeps the answer until another press.
func (o *overlays) pin(p viewer.Pointer) {
	o.ask(int(math.Floor(p.X)), int(math.Floor(p.Y)))
	o.pinned = o.asked != nil
}

func (o *overlays) forget() {
	o.asked, o.pinned = nil, false
	o.card.all.Hide()
}

// ask shows why a pixel is in or out.
func (o *overlays) ask(x, y int) {
	c, ok := o.w.pixelAt(x, y)
	m := o.w.bench.matte()
	if !ok || m == nil {
		o.forget()
		return
	}
	o.asked = &askedPixel{x, y, m.Pick.Model.At(c)}
	o.card.show(o.asked)
	o.w.viewer.Redraw()
	vp := o.w.viewer.Viewport()
	sx, sy := vp.ToScreen(float64(x)+0.5, float64(y)+0.5)
	scale := o.w.win.Canvas().Scale()
	o.card.place(fyne.NewPos(float32(sx)/scale, float32(sy)/scale), o.all.Size())
}

func (w *window) asksPixel() bool { return w.marks.asked != nil && w.bench.matte() != nil }

// includeAsked opens the bound that rejects the pixel asked about.
func (w *window) includeAsked() {
	a := w.marks.asked
	frame := w.bench.frame
	p := selection.IncludePoint(w.bench.matte().Pick.At(frame), a.value)
	w.bench.editMatte("Include this", func(m *study.Matte) error {
		putPick(m, p, frame)
		return nil
	})
}

// leaveOutAsked tightens the bound that costs the keep dabs least.
func (w *window) leaveOutAsked() {
	a := w.marks.asked
	frame := w.bench.frame
	p, err := selection.LeaveOut(w.bench.matte().Pick.At(frame), a.value, w.found.dabs)
	if err != nil {
		w.report(problem{"Not left out", "Draw a drop mask around it.", err})
		return
	}
	w.bench.editMatte("Leave this out", func(m *study.Matte) error {
		putPick(m, p, frame)
		return nil
	})
}

// A reasonCard says why one pixel is in or out, and offers to change it.
type reasonCard struct {
	w                    *window
	head, others, change *look.Label
	include, leave       *look.Button
	all                  *fyne.Container
}

func newReasonCard(w *window) *reasonCard {
	small := look.Style{Size: look.SmallSize, Colour: look.Second}
	c := &reasonCard{w: w, head: look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.White, Bold: true}), others: look.NewLabel("", small), change: look.NewLabel("", small)}
	c.include = look.NewButton("Include this", w.includeAsked)
	c.include.Kind = look.Prominent
	c.include.SetHint("Move the one bound that rejects it to just past it (I)")
	c.leave = look.NewButton("Leave this out", w.leaveOutAsked)
	c.leave.Kind = look.Prominent
	c.leave.SetHint("Tighten the bound that costs the keep dabs least (L)")
	c.all = cardOn(look.VBox(4, c.head, c.others,
		container.NewBorder(nil, nil, container.NewStack(c.include, c.leave), nil, look.Pad(8, 0, 0, 0, c.change))))
	return c
}

const reasonCardWidth = 356

// show says what there is to say about a pixel.
func (c *reasonCard) show(a *askedPixel) {
	w := c.w
	m := w.bench.matte()
	pick := m.Pick.At(w.bench.frame)
	weight, _ := w.weightAt(a.x, a.y)
	reason := w.reasonAt(a, weight)
	c.others.SetText(channelsLine(pick, a.value))
	c.change.SetText("")
	show(c.include, reason >= selection.ByHue && reason <= selection.ByLight)
	show(c.leave, reason == selection.In)
	switch reason {
	case selection.ByMask:
		c.head.SetText(fmt.Sprintf("out: the masks hold %.2f of it", w.maskAt(a.x, a.y)))
		c.change.SetText("Move the mask, or draw another that keeps it.")
	case selection.ByEdge:
		c.head.SetText("out: the edge treatment takes it away")
		c.change.SetText("Less of quieten, firm or grow would leave it.")
	default:
		c.head.SetText(pick.Explain(a.value))
		c.change.SetText(changeLine(pick, a.value, reason, w.found.dabs))
	}
	c.all.Refresh()
}

// channelsLine says how far each channel holds a colour.
func channelsLine(p selection.Pick, v selection.Point) string {
	text := ""
	for ch := range p.Limits {
		c := selection.Channel(ch)
		if ch > 0 {
			text += ", "
		}
		if p.Limits[ch].Off {
			text += shortName(p.Model, c) + " off"
			continue
		}
		text += fmt.Sprintf("%s %s holds %.2f", shortName(p.Model, c), valueText(p.Model, c, v[ch]), p.Limits[ch].Weight(c, v[ch]))
	}
	return text
}

func valueText(m selection.Model, c selection.Channel, v float64) string {
	switch {
	case c == selection.Hue && v < 0:
		return "none"
	case c == selection.Hue:
		return fixed(v, 0) + "°"
	case m == selection.LCh:
		return fixed(v, 0)
	}
	return fixed(v, 2)
}

// changeLine says which number a press of the card's button would move.
func changeLine(p selection.Pick, v selection.Point, reason selection.Reason, dabs []selection.Dab) string {
	q := p
	if reason == selection.In {
		var err error
		if q, err = selection.LeaveOut(p, v, dabs); err != nil {
			return "No single bound can: a drop mask can."
		}
	} else {
		q = selection.IncludePoint(p, v)
	}
	for ch := range p.Limits {
		a, b := p.Limits[ch].Range, q.Limits[ch].Range
		c := selection.Channel(ch)
		for i, pair := range [4][2]float64{{a.Before, b.Before}, {a.From, b.From}, {a.To, b.To}, {a.After, b.After}} {
			if math.Abs(pair[0]-pair[1]) > 1e-9 {
				value := pair[1]
				if c == selection.Hue && (i == 1 || i == 2) {
					value = turned(value)
				}
				return fmt.Sprintf("sets %s '%s' to %s", shortName(p.Model, c), [4]string{"fade", "from", "to", "fade"}[i], valueText(p.Model, c, value))
			}
		}
	}
	return ""
}

// reasonAt is what keeps a pixel out, from what is known of the matte.
func (w *window) reasonAt(a *askedPixel, weight float64) selection.Reason {
	pick := w.bench.matte().Pick.At(w.bench.frame)
	switch masks := w.maskAt(a.x, a.y); {
	case weight >= 0.5:
		return selection.In
	case masks < 0.5:
		return selection.ByMask
	case pick.Weight(a.value)*masks >= 0.5:
		return selection.ByEdge
	}
	return pick.Weakest(a.value) // the matte may hold less than the pick does
}

// place puts the card beside a place on the frame, within it.
func (c *reasonCard) place(at fyne.Position, within fyne.Size) {
	size := fyne.NewSize(max(reasonCardWidth, c.all.MinSize().Width), c.all.MinSize().Height)
	x, y := at.X+14, at.Y-size.Height-14
	if x+size.Width > within.Width-8 {
		x = at.X - size.Width - 14
	}
	if y < 8 {
		y = at.Y + 14
	}
	c.all.Resize(size)
	c.all.Move(fyne.NewPos(max(8, x), max(8, min(y, within.Height-size.Height-8))))
	c.all.Show()
}

// A legend says what the patterns of Reasons mean, and how much of what is in
// view each takes.
type legend struct {
	head   *look.Label
	names  [6]*look.Label
	shares [6]*look.Label
	all    *fyne.Container
}

func newLegend() *legend {
	l := &legend{head: look.NewTightLabel("Out because of", look.Style{Size: look.SmallSize, Colour: look.Second})}
	row := look.HBox(8, l.head)
	for r := selection.ByHue; r <= selection.ByEdge; r++ {
		swatch := canvas.NewImageFromImage(viewer.Swatch(r, image.Pt(20, 14)))
		swatch.ScaleMode = canvas.ImageScalePixels
		swatch.SetMinSize(fyne.NewSize(20, 14))
		l.names[r] = look.NewFixedLabel(48, "", look.Style{Size: look.SmallSize, Colour: look.Text})
		l.shares[r] = look.NewFixedLabel(46, "", look.Style{Size: look.SmallSize, Colour: look.Second})
		row.Add(container.NewCenter(swatch))
		row.Add(l.names[r])
		row.Add(l.shares[r])
	}
	l.shares[selection.In] = look.NewFixedLabel(64, "", look.Style{Size: look.SmallSize, Colour: look.Text})
	row.Add(l.shares[selection.In])
	l.all = cardOn(row)
	return l
}

func (l *legend) set(m *study.Matte, s render.Shares, whole bool) {
	if m == nil {
		return
	}
	names := map[selection.Reason]string{
		selection.ByHue: "hue", selection.BySat: shortName(m.Pick.Model, selection.Sat), selection.ByLight: "light", selection.ByMask: "mask", selection.ByEdge: "edge",
	}
	for r, name := range names {
		l.names[r].SetText(name)
		l.shares[r].SetText(percent(s[r]))
	}
	l.shares[selection.In].SetText("in " + percent(s[selection.In]))
	if whole {
		l.head.SetText("Out because of")
	} else {
		l.head.SetText("Here, out because of")
	}
}

func percent(share float64) string { return fmt.Sprintf("%.1f %%", 100*share) }

// An emptyNote says which channel leaves a matte with nothing, or that nothing
// limits it.
type emptyNote struct {
	w    *window
	text *look.Label
	off  *look.Button
	all  *fyne.Container
	by   selection.Channel
}

func newEmptyNote(w *window) *emptyNote {
	n := &emptyNote{w: w, text: look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.Text})}
	n.off = look.NewButton("", func() {
		w.bench.editMatte("Channel off", func(m *study.Matte) error {
			m.Pick.Limits[n.by].Off = true
			return nil
		})
	})
	n.all = cardOn(look.HBox(12, container.New(layout.NewCenterLayout(), n.text), n.off))
	return n
}

func (n *emptyNote) display() {
	w := n.w
	if w.bench.study() != nil && len(w.bench.study().Mattes) == 0 {
		n.say("There is no matte yet: press “New matte” above.", false)
		return
	}
	if !w.fresh() || w.found.matte == nil {
		show(n.all, false)
		return
	}
	m := w.bench.matte()
	switch held := w.found.figures.Held; {
	case held < 1e-5:
		n.by = narrowest(m.Pick.At(w.bench.frame))
		limited := !m.Pick.Limits[n.by].Off
		n.say(fmt.Sprintf("The matte holds nothing: %s is the narrowest.", n.by.Name(m.Pick.Model)), limited)
		n.off.SetLabel("Switch " + n.by.Name(m.Pick.Model) + " off")
	case held > 0.9999 && len(m.Dabs) == 0:
		n.say("The matte holds everything: press on what it must hold, a keep dab.", false)
	case held > 0.9999:
		n.say("The matte holds everything.", false)
	default:
		show(n.all, false)
	}
}

func (n *emptyNote) say(text string, button bool) {
	n.text.SetText(text)
	n.text.SetWidth(look.Style{Size: look.BodySize}.Measure(text).Width)
	show(n.off, button)
	show(n.all, true)
}

// narrowest is the channel that is on and holds the least part of its scale.
func narrowest(p selection.Pick) selection.Channel {
	best, least := selection.Hue, math.Inf(1)
	for c, l := range p.Limits {
		part := (l.To - l.From) / limitSpec(p.Model, selection.Channel(c), 1).Max
		if !l.Off && part < least {
			best, least = selection.Channel(c), part
		}
	}
	return best
}
