package selection

import (
	"context"
	"fmt"
	"math"

	"halocline/colour"
)

// A Reason says what keeps a pixel out of a matte.
type Reason uint8

const (
	In      Reason = iota // nothing: it weighs one half or more
	ByHue                 // the channel of the smallest weight
	BySat                 //
	ByLight               //
	ByMask                // no keep mask has it, or a drop mask does, as they are drawn
	ByEdge                // the pick keeps it, the edge treatment does not
	ByJoin                // the pick keeps it, but what is joined takes it away
	ByFound               // it lies inside the masks as drawn, but beyond the edge that was found
)

// ReasonCount is how many there are, In among them.
const ReasonCount = int(ByFound) + 1

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
			l.encode(l.code, w.pick.space(), src.R.Row(y), src.G.Row(y), src.B.Row(y))
			w.reasonRow(dst[y*width:(y+1)*width], l.code, src, y)
		}
	})
	return dst, err
}

func (w *Weigher) reasonRow(dst []Reason, code [Channels]coded, src *colour.Image, y int) {
	for x := range dst {
		th, ts, tl := w.tables[Hue][code[Hue].high[x]], w.tables[Sat][code[Sat].high[x]], w.tables[Light][code[Light].high[x]]
		v := th * ts * tl
		if v < 0 || v > 1 {
			v = w.define(code, src, 0, x, y)
		}
		switch {
		case v >= 0.5:
			dst[x] = In
		case th < 0 || ts < 0 || tl < 0:
			dst[x] = weakest(w.pick.weights(w.pick.At(src.RGB(x, y))))
		default:
			dst[x] = weakest([Channels]float64{float64(th), float64(ts), float64(tl)})
		}
	}
}

// weakest returns the channel of the smallest weight, of equal ones the first.
func weakest(w [Channels]float64) Reason {
	switch {
	case w[Hue] <= w[Sat] && w[Hue] <= w[Light]:
		return ByHue
	case w[Sat] <= w[Light]:
		return BySat
	}
	return ByLight
}

// Reason returns what keeps a colour out of the pick.
func (p Pick) Reason(v Point) Reason {
	w := p.weights(v)
	if w[Hue]*w[Sat]*w[Light] >= 0.5 {
		return In
	}
	return weakest(w)
}

// Weakest returns the channel whose limit a colour meets the least, of equal
// ones the first, in the pick or not.
func (p Pick) Weakest(v Point) Reason { return weakest(p.weights(v)) }

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
	case p.Model == PlaneModel:
		return p.explainAcross(v)
	case c == Hue && v[Hue] == colour.NoHue:
		return "out: a grey has no hue"
	case l.Inverted:
		where := "lies in"
		if l.below(c, v[c]) || l.above(c, v[c]) {
			where = "lies close to"
		}
		return fmt.Sprintf("out: %s %s %s %s to %s, and all but this is picked", name,
			number(p.Model, c, v[c], 0), where, number(p.Model, c, l.From, 0), number(p.Model, c, l.To, 0))
	}
	side, limit := "above", l.To
	if l.below(c, v[c]) {
		side, limit = "below", l.From
	}
	value, bound := number(p.Model, c, v[c], 0), number(p.Model, c, limit, 0)
	for more := 1; value == bound && more <= 3; more++ {
		value, bound = number(p.Model, c, v[c], more), number(p.Model, c, limit, more)
	}
	return fmt.Sprintf("out: %s %s is %s %s", name, value, side, bound)
}

// below reports whether v lies outside the range at its lower end: on the
// circle, where that is the nearer.
func (r Range) below(c Channel, v float64) bool {
	if c != Hue {
		return v < r.From
	}
	past := r.past(v)
	return past > 0 && 360-r.Span()-past < past
}

// above is below's counterpart at the upper end.
func (r Range) above(c Channel, v float64) bool {
	if c != Hue {
		return v > r.To
	}
	return r.past(v) > 0 && !r.below(c, v)
}

// past returns how far hue v lies beyond the upper end, going upward; at most 0
// in the range.
func (r Range) past(v float64) float64 {
	return float64(colour.Degrees(v-r.From).Norm()) - r.Span()
}

// number writes a value of channel c as a person reads it, with some more
// digits where asked.
func number(m Model, c Channel, v float64, more int) string {
	switch {
	case c == Hue:
		scale := math.Pow10(more)
		v = float64(colour.Degrees(math.Round(v*scale) / scale).Norm())
		return fmt.Sprintf("%.*f°", more, v)
	case m == HSL:
		return fmt.Sprintf("%.*f", 2+more, v)
	}
	return fmt.Sprintf("%.*f", 1+more, v)
}
