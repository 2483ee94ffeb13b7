package desk

import (
	"fmt"
	"math"
	"strings"

	"halocline/app/study"
	"halocline/selection"
)

// ChannelsLine says which weight each channel gives a colour.
func ChannelsLine(p selection.Pick, v selection.Point) string {
	var parts []string
	for _, c := range p.Model.Channels() {
		if p.Limits[c].Off {
			parts = append(parts, ShortName(p.Model, c)+" off")
			continue
		}
		parts = append(parts, fmt.Sprintf("%s %s weight %.2f", ShortName(p.Model, c), valueText(p.Model, c, v[c]), p.WeightOn(c, v[c])))
	}
	return strings.Join(parts, ", ")
}

func valueText(m selection.Model, c selection.Channel, v float64) string {
	switch {
	case c == selection.Hue && v < 0:
		return "none"
	case c == selection.Hue:
		return Fixed(v, 0) + "°"
	case m == selection.PlaneModel:
		return Fixed(v, 1)
	case m == selection.LCh:
		return Fixed(v, 0)
	}
	return Fixed(v, 2)
}

// ChangeLine says which number LeaveOut would set, of a pixel that is in, or Include, of
// any other; "" for none.
func ChangeLine(p selection.Pick, v selection.Point, reason selection.Reason, dabs []selection.Dab) string {
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
					value = Turned(value)
				}
				return fmt.Sprintf("sets %s '%s' to %s", ShortName(p.Model, c), boundNames(p.Model)[i], valueText(p.Model, c, value))
			}
		}
	}
	return ""
}

// boundNames are what the numbers of a range are called.
func boundNames(m selection.Model) [4]string {
	if m == selection.PlaneModel {
		return [4]string{"fade", "level", "level", "fade"}
	}
	return [4]string{"fade", "from", "to", "fade"}
}

// ReasonAt is what keeps a pixel out of the chosen matte on the frame shown, by the
// weight in [0,1] that the matte gives it. Of what the pick and the masks keep it is
// selection.ByEdge, though a joined matte may take that away: CauseAt tells. There must be a
// matte.
func (d *Desk) ReasonAt(a AskedPixel, weight float64) selection.Reason {
	pick := d.Matte().Pick.At(d.Frame)
	switch masks := d.MaskAt(a.X, a.Y); {
	case weight >= 0.5:
		return selection.In
	case masks < 0.5 && d.drawnMaskAt(a.X, a.Y) >= 0.5:
		return selection.ByFound
	case masks < 0.5:
		return selection.ByMask
	case pick.Weight(a.Value)*masks >= 0.5:
		return selection.ByEdge
	}
	return pick.Weakest(a.Value) // the matte may weigh less than the pick does
}

// An AskedPixel is a pixel whose reason is asked for.
type AskedPixel struct {
	X, Y  int
	Value selection.Point // as the pick reads it
}

// AskAbout is a source pixel of the frame shown; ok is false while its colour is not
// known, and where there is no matte.
func (d *Desk) AskAbout(x, y int) (a AskedPixel, ok bool) {
	c, ok := d.PixelAt(x, y)
	m := d.Matte()
	if !ok || m == nil {
		return a, false
	}
	return AskedPixel{x, y, m.Pick.At(d.Frame).At(c)}, true
}

// Include opens the bound that rejects a pixel, so that the pick keeps more of it. Other
// channels may still reject it.
func (d *Desk) Include(a AskedPixel) {
	frame := d.Frame
	p := selection.IncludePoint(d.Matte().Pick.At(frame), a.Value)
	d.EditMatte("Include this", func(m *study.Matte) error {
		PutPick(m, p, frame)
		return nil
	})
}

// LeaveOut tightens the bound that costs the keep dabs least, so that the pick leaves a
// pixel out. Where no bound can it is reported. Dabs whose colours are not known yet are
// read first.
func (d *Desk) LeaveOut(a AskedPixel) {
	m := d.Matte()
	if d.Fresh() {
		d.leaveOut(a, d.Found.Dabs)
		return
	}
	var dabs []selection.Dab
	read := func(samples []selection.Dab) (selection.Pick, bool) {
		dabs = samples
		return selection.Pick{}, false
	}
	d.withPick(m, m.Dabs, read, func(_ selection.Pick, _ bool, err error) {
		switch {
		case d.Matte() == nil || d.MatteID != m.ID: // the user went on meanwhile
		case err == errOvertaken:
			d.LeaveOut(a)
		case err == nil:
			d.leaveOut(a, dabs)
		}
	})
}

func (d *Desk) leaveOut(a AskedPixel, dabs []selection.Dab) {
	frame := d.Frame
	p, err := selection.LeaveOut(d.Matte().Pick.At(frame), a.Value, dabs)
	if err != nil {
		d.Report(Problem{"Not left out", "Draw a drop mask around it.", err})
		return
	}
	d.EditMatte("Leave this out", func(m *study.Matte) error {
		PutPick(m, p, frame)
		return nil
	})
}
