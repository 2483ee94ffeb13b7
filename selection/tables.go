package selection

import (
	"math"

	"halocline/colour"
)

// A table has a limit's weight for each high code of a channel.
type table [65536]float32

// ask and askPixel stand in a table where it cannot answer, and the formula
// must: from the 24 bits of the codes, or from the pixel itself. Times weights
// in [leastWeight,1] they are negative, two of them times such a weight far
// above 1, times 0 they are 0; so the product of three tables shows whether any
// asks that matters.
const (
	ask      = -1e10
	askPixel = -1e12
)

// leastWeight is what a table still tells from 0.
const leastWeight = 1e-9

// marginOfError is the error that each channel may make; together they stay under
// 0.001. Hue has the most: its codes are the coarsest beside common fades.
var marginOfError = [Channels]float64{Hue: 0.0005, Sat: 0.0002, Light: 0.0002}

// margin returns the error that a channel may make: a plane's has all of it.
func margin(m Model, c Channel) float64 {
	if m == PlaneModel {
		return marginOfError[Hue] + marginOfError[Sat] + marginOfError[Light]
	}
	return marginOfError[c]
}

// conversion is the error of the fast conversion and of its 24 bits, in the
// channel's unit, where hues are not faint.
func conversion(m Model, c Channel) float64 {
	switch {
	case c == Hue && m == LCh:
		return 6e-4
	case c == Hue:
		return 5e-5
	case m == PlaneModel:
		return 2e-4
	case m == LCh:
		return 5e-5
	}
	return 3e-7
}

// slack is how far a value may lie from the middle of its high code: half a
// code, and the error of the conversion.
func slack(m Model, c Channel) float64 { return 0.5/scale(m, c) + conversion(m, c) }

// onFade returns what a table has at v on a fade: smoothstep is at its
// steepest 1.5 over the width, and what lies within the error of a value must
// not differ by more than marginOfError.
func (l Limit) onFade(m Model, c Channel, v, fade float64) float32 {
	steepest := func(err float64) float64 { return 1.5 * err / fade }
	switch {
	case !(fade > 0 && steepest(conversion(m, c)) <= margin(m, c)):
		return askPixel
	case steepest(slack(m, c)) > margin(m, c):
		return ask
	}
	if w := l.Weight(c, v); w > leastWeight {
		return float32(w)
	}
	return 0
}

// orAsk joins what two fades want in one place of a table: a weight gives way to
// a question, and that of the codes to that of the pixel.
func orAsk(old, want float32) float32 {
	if old < 0 {
		return min(old, want)
	}
	return want
}

// tame reports whether tables can express the limit. What is not finite, out of
// order, or so large that sums of it lose digits, each pixel asks about.
func (l Limit) tame(c Channel) bool {
	const most = 1e6
	for _, v := range []float64{l.From, l.To, l.Before, l.After} {
		if !(math.Abs(v) <= most) {
			return false
		}
	}
	return l.Before >= 0 && l.After >= 0 && (c == Hue || l.From <= l.To)
}

// tabulate fills t with the limit's weight on channel c.
func (l Limit) tabulate(t *table, m Model, c Channel) {
	out, in := float32(0), float32(1)
	if l.Inverted {
		out, in = in, out
	}
	switch {
	case l.Off:
		fill(t[:], 1)
	case !l.tame(c):
		fill(t[:], askPixel)
	case c == Hue:
		l.tabulateHue(t, m, out, in)
	default:
		l.tabulateLine(t, m, c, out, in)
	}
}

func fill(t []float32, v float32) {
	for i := range t {
		t[i] = v
	}
}

func (l Limit) tabulateLine(t *table, m Model, c Channel, out, in float32) {
	fill(t[:], out)
	code := func(v float64) int {
		return int(min(max(math.Floor(v*scale(m, c))+zeroCode(m), 0), 65535))
	}
	if l.From <= l.To {
		fill(t[code(l.From):code(l.To)+1], in)
	}
	reach := slack(m, c)
	slope := func(from, to, fade float64) {
		for i := code(from - reach); i <= code(to+reach); i++ {
			v := (float64(i) + 0.5 - zeroCode(m)) / scale(m, c)
			t[i] = orAsk(t[i], l.onFade(m, c, v, fade))
		}
	}
	slope(l.From-l.Before, l.From, l.Before)
	slope(l.To, l.To+l.After, l.After)
	l.closeEnd(t, c, 0, math.Inf(-1))
	l.closeEnd(t, c, 65535, math.Inf(1))
}

// closeEnd makes the first or last code ask, unless what it has is true of
// all that lies beyond.
func (l Limit) closeEnd(t *table, c Channel, code int, beyond float64) {
	if t[code] != float32(l.Weight(c, beyond)) {
		t[code] = askPixel
	}
}

func (l Limit) tabulateHue(t *table, m Model, out, in float32) {
	circle := t[:hueCodes]
	fill(circle, out)
	t[noHue], t[faintHue] = out, askPixel
	span, reach := l.Span(), slack(m, Hue)
	eachHue(m, l.From, span, func(i int) { circle[i] = in })
	slope := func(from, fade float64) {
		eachHue(m, from-reach, fade+2*reach, func(i int) {
			circle[i] = orAsk(circle[i], l.onFade(m, Hue, (float64(i)+0.5)/scale(m, Hue), fade))
		})
	}
	if span == 360 {
		t[faintHue] = in
		return
	}
	slope(l.From-l.Before, l.Before)
	slope(l.From+span, l.After)
}

// eachHue calls f for every code that lies on the arc from hue a over width
// degrees, whole codes at both ends, none twice.
func eachHue(m Model, a, width float64, f func(code int)) {
	first := int(float64(colour.Degrees(a).Norm()) * scale(m, Hue))
	last := min(float64(colour.Degrees(a).Norm())+width, 720) * scale(m, Hue)
	for k := first; k <= int(last) && k < first+hueCodes; k++ {
		f(k % hueCodes)
	}
}
