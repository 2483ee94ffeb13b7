package selection

import (
	"context"
	"fmt"

	"halocline/colour"
)

// A Reason says what keeps a pixel out of a matte.
type Reason uint8

const (
	In      Reason = iota // nothing: it weighs one half or more
	ByHue                 // the channel of the smallest weight
	BySat                 //
	ByLight               //
	ByMask                // no keep mask holds it, or a drop mask does
	ByEdge                // the pick holds it, the edge treatment does not
)

// Reasons returns, for each pixel of a row-major picture, what keeps it out of
// the pick: In where the pick weighs one half or more, else the channel of the
// smallest weight, of equal ones the first. dst is reused where it suffices.
// Error: ctx's.
func (w *Weigher) Reasons(ctx context.Context, dst []Reason, src *colour.Image, workers int) ([]Reason, error) {
	width, h := src.Size()
	if cap(dst) < width*h {
		dst = make([]Reason, width*h)
	}
	dst = dst[:width*h]
	err := colour.EachBand(ctx, workers, h, func(y0, y1 int) {
		l := takeLine(width)
		defer lines.Put(l)
		for y := y0; y < y1; y++ {
			l.encode(l.code, w.pick.Model, src.R.Row(y), src.G.Row(y), src.B.Row(y))
			w.reasonRow(dst[y*width:(y+1)*width], l.code, src, y)
		}
	})
	return dst, err
}

func (w *Weigher) reasonRow(dst []Reason, code [3]coded, src *colour.Image, y int) {
	for x := range dst {
		th, ts, tl := w.tables[Hue][code[Hue].high[x]], w.tables[Sat][code[Sat].high[x]], w.tables[Light][code[Light].high[x]]
		if th < 0 || ts < 0 || tl < 0 {
			dst[x] = w.pick.Reason(w.pick.Model.At(src.RGB(x, y)))
			continue
		}
		dst[x] = reason(th*ts*tl, th, ts, tl)
	}
}

func reason(product, hue, sat, light float32) Reason {
	switch {
	case product >= 0.5:
		return In
	case hue <= sat && hue <= light:
		return ByHue
	case sat <= light:
		return BySat
	}
	return ByLight
}

// Reason returns what keeps a colour out of the pick.
func (p Pick) Reason(v Point) Reason {
	var w [3]float64
	for c := Hue; c <= Light; c++ {
		w[c] = p.Limits[c].Weight(c, v[c])
	}
	return reason(float32(w[Hue]*w[Sat]*w[Light]), float32(w[Hue]), float32(w[Sat]), float32(w[Light]))
}

// Explain says in plain words why a colour is in or out, and by how much: "out:
// lightness 0.73 is above 0.66".
func (p Pick) Explain(v Point) string {
	r := p.Reason(v)
	if r == In {
		return fmt.Sprintf("in: weighs %.2f", p.Weight(v))
	}
	c := Channel(r - ByHue)
	name, l := c.Name(p.Model), p.Limits[c]
	switch {
	case c == Hue && v[Hue] == colour.NoHue:
		return "out: a grey has no hue"
	case l.Inverted:
		return fmt.Sprintf("out: %s %s lies in %s to %s, which is inverted", name, p.number(c, v[c]), p.number(c, l.From), p.number(c, l.To))
	}
	side, limit := "above", l.To
	if l.below(c, v[c]) {
		side, limit = "below", l.From
	}
	return fmt.Sprintf("out: %s %s is %s %s", name, p.number(c, v[c]), side, p.number(c, limit))
}

// below reports on which side of the range v lies: on the circle, the nearer.
func (r Range) below(c Channel, v float64) bool {
	if c != Hue {
		return v < r.From
	}
	past := float64(colour.Degrees(v-r.From).Norm()) - r.Span()
	return 360-r.Span()-past < past
}

// number writes a value of channel c as the ranges are written.
func (p Pick) number(c Channel, v float64) string {
	switch {
	case c == Hue:
		return fmt.Sprintf("%.0f°", v)
	case p.Model == HSL:
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.1f", v)
}
