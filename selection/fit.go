package selection

import (
	"errors"
	"fmt"
	"math"

	"halocline/colour"
)

// A Fitted is a pick made from dabs, with what is to be said about it.
type Fitted struct {
	Pick Pick
	// Agreement is the criterion that the pick maximises, in [0,1]: the mean
	// of how much it is expected to hold of a keep dab and to leave of a drop
	// dab. With keep dabs alone it is the share it holds of them.
	Agreement float64
	// LeftOut is the same for dabs that the fit has not seen, each left out
	// once, by model. It is NaN where a kind has fewer than two dabs.
	LeftOut [2]float64
	// Notes say in plain words why the model was taken, why a channel is off,
	// and what is missing.
	Notes []string
}

// ErrNoKeep is returned where there is nothing to keep.
var ErrNoKeep = errors.New("selection: no keep samples found, want at least one keep dab")

// Fit returns the pick in model m that the dabs ask for.
//
// Criterion: with each dab counting the same, the mean of the expected weight
// of keep samples and of one minus that of drop samples, when every sample is
// moved by a Gaussian as wide as bandwidth says on each channel. The half-
// weight borders of one channel after another are set to their best, from six
// orders of the channels, until nothing moves; the best of the six is taken.
// The result does not depend on the order of dabs or pixels.
//
// With keep dabs alone the ranges hold a central share of the samples.
func Fit(dabs []Dab, m Model) (Fitted, error) {
	s := gather(dabs, m)
	keep, drop := s.dabsOf(noDab)
	switch {
	case keep == 0:
		return Fitted{}, ErrNoKeep
	case drop == 0:
		return fitKeepAlone(s), nil
	}
	b := s.bestBox(noDab, allOrders)
	f := Fitted{Pick: b.pick(m), Agreement: (1 + b.gain) / 2, LeftOut: [2]float64{math.NaN(), math.NaN()}}
	f.LeftOut[m] = s.leftOut()
	f.Notes = b.notes(m)
	return f, nil
}

// evenModels is how much better HSL must do on left-out dabs to be taken: three
// dabs of a kind cannot tell less apart. On bare skin under water LCh parts
// better than HSL, so it has the benefit of the doubt.
const evenModels = 0.05

// FitAuto fits both models and returns the one that does better on dabs left
// out in turn, LCh where they are even or there are too few dabs to tell.
func FitAuto(dabs []Dab) (Fitted, error) {
	lch, err := Fit(dabs, LCh)
	if err != nil {
		return Fitted{}, err
	}
	hsl, err := Fit(dabs, HSL)
	if err != nil {
		return Fitted{}, err
	}
	left := [2]float64{HSL: hsl.LeftOut[HSL], LCh: lch.LeftOut[LCh]}
	best, why := lch, "LCh: too few dabs of a kind to leave one out and compare"
	switch {
	case left[HSL] > left[LCh]+evenModels:
		best, why = hsl, fmt.Sprintf("HSL: it parts dabs left out better (%.0f of 100 against %.0f in LCh)", 100*left[HSL], 100*left[LCh])
	case left[HSL] <= left[LCh]+evenModels:
		why = fmt.Sprintf("LCh: on dabs left out it parts %.0f of 100, HSL %.0f", 100*left[LCh], 100*left[HSL])
	}
	best.LeftOut = left
	best.Notes = append([]string{why}, best.Notes...)
	return best, nil
}

// noDab stands for the dab to leave out where none is.
const noDab = -1

// allOrders are the orders in which the channels may be set.
var allOrders = [][]Channel{
	{Hue, Sat, Light}, {Hue, Light, Sat}, {Sat, Hue, Light},
	{Sat, Light, Hue}, {Light, Hue, Sat}, {Light, Sat, Hue},
}

// A box is three intervals of half-weight borders in the making.
type box struct {
	lo, hi    [3]int // bins; hi may exceed the last, on the circle by a turn
	off       [3]bool
	bandwidth [3]float64 // bins
	gain      float64    // expected weight on keep minus on drop, in [-1,1]
	helps     [3]float64 // gain lost without the channel
}

// bestBox fits a box to all dabs but out.
func (s *samples) bestBox(out int, orders [][]Channel) box {
	a := s.ascent(out)
	var best box
	for i, order := range orders {
		if b := a.climb(order); i == 0 || b.gain > best.gain+tie {
			best = b
		}
	}
	return a.withoutIdle(best)
}

// An ascent holds what the search needs of the samples.
type ascent struct {
	cells     []cell
	weight    []float64 // of each cell: keep dabs sum to 1, drop dabs to -1
	bandwidth [3]float64
	kernel    [3][]float64
}

func (s *samples) ascent(out int) *ascent {
	a := &ascent{}
	keep, drop := s.dabsOf(out)
	for _, k := range s.cells {
		if k.dab == out {
			continue
		}
		w := k.count / s.count[k.dab]
		if s.keep[k.dab] {
			w /= float64(keep)
		} else {
			w /= -float64(drop)
		}
		a.cells = append(a.cells, k)
		a.weight = append(a.weight, w)
	}
	for c := Hue; c <= Light; c++ {
		a.bandwidth[c] = s.bandwidth(c, out)
		a.kernel[c] = gaussian(a.bandwidth[c])
	}
	return a
}

// rounds is where an ascent gives up; it ends by itself after three to eight.
const rounds = 20

// climb sets the channels of order one after another to their best, beginning
// with none; others stay off.
func (a *ascent) climb(order []Channel) box {
	b := box{off: [3]bool{true, true, true}, bandwidth: a.bandwidth, gain: math.Inf(-1)}
	var member [3][]float64
	for range rounds {
		before := b.gain
		for _, c := range order {
			a.set(&b, &member, c)
		}
		if b.gain-before < tie {
			break
		}
	}
	return b
}

// set moves the borders of channel c to where they gain most, the other two
// staying, or switches it off where no border gains.
func (a *ascent) set(b *box, member *[3][]float64, c Channel) {
	hist, idle := a.weigh(member, c)
	all := idle // with the channel off, samples without hue count too
	for _, v := range hist {
		all += v
	}
	find := bestInterval
	if c == Hue {
		find = bestArc
	}
	lo, hi, gain := find(hist, a.kernel[c])
	if gain <= all+tie {
		b.off[c], member[c], b.gain = true, nil, all
		return
	}
	b.off[c], b.lo[c], b.hi[c], b.gain = false, lo, hi, gain
	member[c] = b.membership(c)
}

// weigh returns the histogram of channel c, each cell weighing what the other
// channels let through, and what lies in cells without hue.
func (a *ascent) weigh(member *[3][]float64, c Channel) (hist []float64, idle float64) {
	hist = make([]float64, bins)
	p, q := member[(c+1)%3], member[(c+2)%3]
	for i, k := range a.cells {
		w := a.weight[i] * through(p, k.bin[(c+1)%3]) * through(q, k.bin[(c+2)%3])
		if k.bin[c] < 0 {
			idle += w
			continue
		}
		hist[k.bin[c]] += w
	}
	return hist, idle
}

// through returns a channel's expected weight on a bin; a nil membership is a
// channel that is off.
func through(member []float64, bin int) float64 {
	switch {
	case member == nil:
		return 1
	case bin < 0:
		return 0
	}
	return member[bin]
}

// membership returns the expected weight of each bin of channel c: the share
// of a Gaussian about it that lies within the borders.
func (b *box) membership(c Channel) []float64 {
	m := make([]float64, bins)
	within := func(x float64) float64 {
		return normal((float64(b.hi[c])-x)/b.bandwidth[c]) - normal((float64(b.lo[c])-x)/b.bandwidth[c])
	}
	for i := range m {
		x := float64(i) + 0.5
		m[i] = within(x)
		if c == Hue {
			m[i] = min(1, m[i]+within(x+bins)+within(x-bins))
		}
	}
	return m
}

// normal is the cumulative distribution of the standard normal.
func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// idleGain is the gain under which a channel does not help. A price on each
// channel while the search runs would cost accuracy; this one is asked once at
// the end, and is a tenth of what one pixel in a dab of radius 12 weighs
// beside three dabs.
const idleGain = 1e-4

// withoutIdle switches off the channels that do not help, the least helpful
// first, and notes what each of the others brings.
func (a *ascent) withoutIdle(b box) box {
	for {
		var member [3][]float64
		for c := range member {
			if !b.off[c] {
				member[c] = b.membership(Channel(c))
			}
		}
		least, loss := Hue, math.Inf(1)
		for c := Hue; c <= Light; c++ {
			if b.off[c] {
				continue
			}
			b.helps[c] = b.gain - a.gainWithout(&member, c)
			if b.helps[c] < loss {
				least, loss = c, b.helps[c]
			}
		}
		if loss >= idleGain {
			return b
		}
		b.off[least] = true
		b.gain -= loss
	}
}

func (a *ascent) gainWithout(member *[3][]float64, c Channel) float64 {
	hist, all := a.weigh(member, c)
	for _, v := range hist {
		all += v
	}
	return all
}

// notes says which channels are off and why.
func (b *box) notes(m Model) (notes []string) {
	for c := Hue; c <= Light; c++ {
		if b.off[c] {
			notes = append(notes, fmt.Sprintf("%s is off: it does not help to part these samples", c.Name(m)))
		}
	}
	if b.off[Hue] && b.off[Sat] && b.off[Light] {
		notes = append(notes, "no channel parts these samples: keep and drop dabs have the same colours")
	}
	return notes
}

// leftOut returns the mean of how much a fit holds of a keep dab it has not
// seen and leaves of such a drop dab, or NaN where a kind has fewer than two.
func (s *samples) leftOut() float64 {
	keep, drop := s.dabsOf(noDab)
	if keep < 2 || drop < 2 {
		return math.NaN()
	}
	var held, left float64
	for d, kind := range s.keep {
		b := s.bestBox(d, allOrders[:1])
		w := s.meanWeight(b.pick(s.model), d)
		if kind {
			held += w / float64(keep)
		} else {
			left += (1 - w) / float64(drop)
		}
	}
	return (held + left) / 2
}

// meanWeight returns a pick's mean weight on a dab.
func (s *samples) meanWeight(p Pick, dab int) float64 {
	sum := 0.0
	for _, k := range s.cells {
		if k.dab == dab {
			sum += k.count * p.Weight(k.centre(s.model))
		}
	}
	return sum / s.count[dab]
}

// centre returns the middle of a cell.
func (k cell) centre(m Model) (p Point) {
	for c := Hue; c <= Light; c++ {
		lo, hi := span(m, c)
		p[c] = lo + (float64(k.bin[c])+0.5)/bins*(hi-lo)
	}
	if k.bin[Hue] < 0 {
		p[Hue] = colour.NoHue
	}
	return p
}
