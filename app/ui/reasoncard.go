package ui

import (
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/selection"
)

func (w *window) asksPixel() bool { return w.marks.asked != nil && w.desk.Matte() != nil }

// includeAsked opens the bound that rejects the pixel asked about.
func (w *window) includeAsked() {
	a := w.marks.asked
	frame := w.desk.Frame
	p := selection.IncludePoint(w.desk.Matte().Pick.At(frame), a.value)
	w.desk.EditMatte("Include this", func(m *study.Matte) error {
		putPick(m, p, frame)
		return nil
	})
}

// leaveOutAsked tightens the bound that costs the keep dabs least.
func (w *window) leaveOutAsked() {
	a := w.marks.asked
	frame := w.desk.Frame
	p, err := selection.LeaveOut(w.desk.Matte().Pick.At(frame), a.value, w.desk.Found.Dabs)
	if err != nil {
		w.report(Problem{"Not left out", "Draw a drop mask around it.", err})
		return
	}
	w.desk.EditMatte("Leave this out", func(m *study.Matte) error {
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
	c.include.SetHint(w.withKey("Move the one bound that rejects it to just past it", "Include the pixel asked about"))
	c.leave = look.NewButton("Leave this out", w.leaveOutAsked)
	c.leave.Kind = look.Prominent
	c.leave.SetHint(w.withKey("Tighten the bound that costs the keep dabs least", "Leave out the pixel asked about"))
	c.all = cardOn(look.VBox(4, c.head, c.others,
		container.NewBorder(nil, nil, container.NewStack(c.include, c.leave), nil, look.Pad(8, 0, 0, 0, c.change))))
	return c
}

const reasonCardWidth = 356

// show says what there is to say about a pixel.
func (c *reasonCard) show(a *askedPixel) {
	w := c.w
	m := w.desk.Matte()
	pick := m.Pick.At(w.desk.Frame)
	weight, _ := w.weightAt(a.x, a.y)
	reason := w.desk.ReasonAt(a, weight)
	c.others.SetText(channelsLine(pick, a.value))
	c.change.SetText("")
	show(c.include, reason >= selection.ByHue && reason <= selection.ByLight)
	show(c.leave, reason == selection.In)
	switch reason {
	case selection.ByMask:
		c.head.SetText(fmt.Sprintf("out: the masks give it a weight of %.2f", w.desk.MaskAt(a.x, a.y)))
		c.change.SetText("Move the mask, or draw another that keeps it.")
	case selection.ByEdge:
		c.head.SetText("out: the edge treatment takes it away")
		c.change.SetText("Less despeckle, harden or grow would leave it in.")
	default:
		c.head.SetText(pick.Explain(a.value))
		c.change.SetText(changeLine(pick, a.value, reason, w.desk.Found.Dabs))
	}
	c.all.Refresh()
}

// channelsLine says which weight each channel gives a colour.
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
		text += fmt.Sprintf("%s %s weight %.2f", shortName(p.Model, c), valueText(p.Model, c, v[ch]), p.Limits[ch].Weight(c, v[ch]))
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

// ReasonAt is what keeps a pixel out, from what is known of the matte.
func (d *Desk) ReasonAt(a *askedPixel, weight float64) selection.Reason {
	pick := d.Matte().Pick.At(d.Frame)
	switch masks := d.MaskAt(a.x, a.y); {
	case weight >= 0.5:
		return selection.In
	case masks < 0.5:
		return selection.ByMask
	case pick.Weight(a.value)*masks >= 0.5:
		return selection.ByEdge
	}
	return pick.Weakest(a.value) // the matte may weigh less than the pick does
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
