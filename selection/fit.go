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
}

// bestBox fits a box to all dabs but out.
func (s *samples) bestBox(out int, orders [][]Channel) box {
	a := s.ascent(out)
	boxes := make([]box, len(orders))
	eachInParallel(len(orders), func(i int) { boxes[i] = a.climb(orders[i]) })
	best := boxes[0]
	for _, b := range boxes[1:] {
		if b.gain > best.gain+tie {
			best = b
		}
	}
	return a.withoutIdle(best)
}

// An ascent holds what the search needs of the samples.
type ascent struct {
	slot      *[3][]uint16 // of each cell, on each channel
	weight    []float64    // of each cell: keep dabs sum to 1, drop dabs to -1
	bandwidth [3]float64
	kernel    [3][]float64
}

// A slot is a bin plus one; slot 0 is for cells without hue.
const slots = bins + 1

func slotsOf(cells []cell) *[3][]uint16 {
	var s [3][]uint16
	for c := range s {
		s[c] = make([]uint16, len(cells))
		for i := range cells {
			s[c][i] = uint16(cells[i].bin[c] + 1)
		}
	}
	return &s
}

func (s *samples) ascent(out int) *ascent {
	a := &ascent{slot: s.slot, weight: make([]float64, len(s.cells))}
	keep, drop := s.dabsOf(out)
	for i, k := range s.cells {
		switch w := k.count / s.count[k.dab]; {
		case k.dab == out:
		case s.keep[k.dab]:
			a.weight[i] = w / float64(keep)
		default:
			a.weight[i] = -w / float64(drop)
		}
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
	lets := [3]*passage{&free, &free, &free}
	for range rounds {
		before := b.gain
		for _, c := range order {
			a.set(&b, &lets, c)
		}
		if b.gain-before < tie {
			break
		}
	}
	return b
}

// set moves the borders of channel c to where they gain most, the other two
// staying, or switches it off where no border gains.
func (a *ascent) set(b *box, lets *[3]*passage, c Channel) {
	hist := a.weigh(lets, c)
	all := sum(hist) // with the channel off, samples without hue count too
	find := bestInterval
	if c == Hue {
		find = bestArc
	}
	lo, hi, gain := find(hist[1:], a.kernel[c])
	if gain <= all+tie {
		b.off[c], lets[c], b.gain = true, &free, all
		return
	}
	b.off[c], b.lo[c], b.hi[c], b.gain = false, lo, hi, gain
	lets[c] = b.passage(c)
}

func sum(hist *[slots]float64) (all float64) {
	all = hist[0]
	for _, v := range hist[1:] {
		all += v
	}
	return all
}

// weigh returns what lies in each slot of channel c, each cell weighing what
// the other channels let through.
func (a *ascent) weigh(lets *[3]*passage, c Channel) *[slots]float64 {
	hist := new([slots]float64)
	n := len(a.weight)
	p, q := lets[(c+1)%3], lets[(c+2)%3]
	at, ofP, ofQ := a.slot[c][:n], a.slot[(c+1)%3][:n], a.slot[(c+2)%3][:n]
	for i, w := range a.weight {
		hist[at[i]] += float64(float64(w*p[ofP[i]]) * q[ofQ[i]])
	}
	return hist
}

// A passage is how much of each slot a channel lets through.
type passage [slots]float64

// free is the passage of a channel that is off.
var free = func() (p passage) {
	for i := range p {
		p[i] = 1
	}
	return p
}()

// passage returns the expected weight of each bin of channel c: the share of a
// Gaussian about it that lies within the borders. Nothing without hue passes.
func (b *box) passage(c Channel) *passage {
	p := new(passage)
	within := func(x float64) float64 {
		return normal((float64(b.hi[c])-x)/b.bandwidth[c]) - normal((float64(b.lo[c])-x)/b.bandwidth[c])
	}
	for bin := range bins {
		x := float64(bin) + 0.5
		share := within(x)
		if c == Hue {
			share = min(1, share+within(x+bins)+within(x-bins))
		}
		p[bin+1] = share
	}
	return p
}

// normal is the cumulative distribution of the standard normal.
func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// idleGain is the gain under which a channel does not help. A price on each
// channel while the search runs would cost accuracy; this one is asked once at
// the end, and is a tenth of what one pixel in a dab of radius 12 weighs
// beside three dabs.
const idleGain = 1e-4

// withoutIdle switches off the channels that do not help, the least helpful
// first.
func (a *ascent) withoutIdle(b box) box {
	lets := [3]*passage{&free, &free, &free}
	for c := range lets {
		if !b.off[c] {
			lets[c] = b.passage(Channel(c))
		}
	}
	for {
		least, loss := Hue, math.Inf(1)
		for c := Hue; c <= Light; c++ {
			if b.off[c] {
				continue
			}
			if brings := b.gain - sum(a.weigh(&lets, c)); brings < loss {
				least, loss = c, brings
			}
		}
		if loss >= idleGain {
			return b
		}
		b.off[least], lets[least] = true, &free
		b.gain -= loss
	}
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
	weight := make([]float64, len(s.keep))
	eachInParallel(len(weight), func(d int) {
		b := s.bestBox(d, allOrders[:1])
		weight[d] = s.meanWeight(b.pick(s.model), d)
	})
	var held, left float64
	for d, kind := range s.keep {
		if kind {
			held += weight[d] / float64(keep)
		} else {
			left += (1 - weight[d]) / float64(drop)
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
		p[c] = middleOf(m, c, int(k.bin[c]))
	}
	if k.bin[Hue] < 0 {
		p[Hue] = colour.NoHue
	}
	return p
}
