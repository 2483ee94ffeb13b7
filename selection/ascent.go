package selection

import "math"

// How the borders of three channels are found together: one after another is
// set to its best while the others stay.

// noDab stands for the dab to leave out where none is.
const noDab = -1

// allOrders are the orders in which the channels may be set.
var allOrders = [][]Channel{
	{Hue, Sat, Light}, {Hue, Light, Sat}, {Sat, Hue, Light},
	{Sat, Light, Hue}, {Light, Hue, Sat}, {Light, Sat, Hue},
}

// A box is three intervals of half-weight borders in the making.
type box struct {
	lo, hi    [Channels]int // bins; hi may exceed the last, on the circle by a turn
	off       [Channels]bool
	bandwidth [Channels]float64 // bins
	gain      float64           // expected weight on keep minus on drop, in [-1,1]
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
	return a.centred(a.withoutIdle(best))
}

// An ascent has what the search needs of the samples.
type ascent struct {
	slot      *[Channels][]uint16 // of each cell, on each channel
	weight    []float64           // of each cell: keep dabs sum to 1, drop dabs to -1
	keeps     int                 // dabs
	bandwidth [Channels]float64
	kernel    [Channels][]float64
}

// A slot is a bin plus one; slot 0 is for cells without hue.
const slots = bins + 1

func slotsOf(cells []cell) *[Channels][]uint16 {
	var s [Channels][]uint16
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
	a.keeps = keep
	for i, k := range s.cells {
		switch w := k.count / s.count[k.dab]; {
		case k.dab == out:
		case s.keep[k.dab]:
			a.weight[i] = w / float64(keep)
		default:
			a.weight[i] = -w / float64(drop)
		}
	}
	for c := range Channels {
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
	b := box{off: [Channels]bool{true, true, true}, bandwidth: a.bandwidth, gain: math.Inf(-1)}
	lets := [Channels]*passage{&passAll, &passAll, &passAll}
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
func (a *ascent) set(b *box, lets *[Channels]*passage, c Channel) {
	hist := a.weigh(lets, c)
	all := hist.sum() // with the channel off, samples without hue count too
	find := bestInterval
	if c == Hue {
		find = bestArc
	}
	lo, hi, gain := find(hist[1:], a.kernel[c])
	if gain <= all+tie {
		b.off[c], lets[c], b.gain = true, &passAll, all
		return
	}
	b.off[c], b.lo[c], b.hi[c], b.gain = false, lo, hi, gain
	lets[c] = b.passage(c)
}

// centred moves each border to the middle of the places that are as good: where
// nothing was sampled half way is as good a guess as any, and the wrong pixels
// of a dab cannot shift it.
func (a *ascent) centred(b box) box {
	lets := b.passages()
	for c := range Channels {
		if b.off[c] {
			continue
		}
		hist := a.weigh(&lets, c)
		at, first, last := a.along(hist, c)
		lo, hi := b.lo[c], b.hi[c]
		if c == Hue {
			first, last = hi-bins, lo+bins
		}
		width, room := hi-lo, a.room(c)
		b.hi[c] = hi + middle(func(i int) float64 { return at(hi + i) }, width/2, last-hi, room)
		b.lo[c] = lo - middle(func(i int) float64 { return at(lo - 1 - i) }, width/2, lo-first, room)
		if c == Hue && b.lo[c] < 0 {
			b.lo[c], b.hi[c] = b.lo[c]+bins, b.hi[c]+bins
		}
		lets[c] = b.passage(c)
	}
	return b
}

// along returns what each bin gathers under the kernel, and where bins begin
// and end on a line.
func (a *ascent) along(hist *histogram, c Channel) (at func(bin int) float64, first, last int) {
	if c == Hue {
		spread := spreadRound(hist[1:], a.kernel[c])
		return func(bin int) float64 { return spread[(bin%bins+bins)%bins] }, 0, 0
	}
	spread := spreadAlong(hist[1:], a.kernel[c])
	reach := len(a.kernel[c]) - 1
	return func(bin int) float64 { return spread[bin+reach] }, -reach, bins + reach
}

// A histogram is how much lies in each slot of a channel.
type histogram [slots]float64

func (h *histogram) sum() float64 {
	all := 0.0
	for _, v := range h {
		all += v
	}
	return all
}

// weigh returns what lies in each slot of channel c, each cell weighing what
// the other channels let through.
func (a *ascent) weigh(lets *[Channels]*passage, c Channel) *histogram {
	hist := new(histogram)
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

// passAll is the passage of a channel that is off.
var passAll = func() (p passage) {
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

// passages returns those of all channels.
func (b *box) passages() [Channels]*passage {
	lets := [Channels]*passage{&passAll, &passAll, &passAll}
	for c := range Channels {
		if !b.off[c] {
			lets[c] = b.passage(c)
		}
	}
	return lets
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
	lets := b.passages()
	for {
		least, loss := Hue, math.Inf(1)
		for c := range Channels {
			if b.off[c] {
				continue
			}
			if brings := b.gain - a.weigh(&lets, c).sum(); brings < loss {
				least, loss = c, brings
			}
		}
		if loss >= idleGain {
			return b
		}
		b.off[least], lets[least] = true, &passAll
		b.gain -= loss
	}
}
