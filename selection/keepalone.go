package selection

import (
	"cmp"
	"fmt"
	"slices"

	"halocline/colour"
)

// aloneShare is the share of keep samples that each range keeps when there are
// no drop samples to say where it should end: the outermost 2 % on each side
// are as likely wrong pixels as right ones.
const aloneShare = 0.96

// fitKeepAlone returns ranges about the colours of keep dabs.
func fitKeepAlone(s *samples) Fitted {
	f := Fitted{Pick: Pick{Model: s.model}, LeftOut: noneLeftOut()}
	for c := range Channels {
		b := box{}
		b.bandwidth[c] = s.bandwidth(c, noDab)
		ok := true
		if b.lo[c], b.hi[c], ok = s.central(c); !ok {
			f.Pick.Limits[c] = Limit{Range: wholeRange(s.model, c), Off: true}
			f.Notes = append(f.Notes, fmt.Sprintf("%s is off: the samples have none", c.Name(s.model)))
			continue
		}
		f.Pick.Limits[c].Range = aroundFull(b.settle(s.model, c), s.model, c)
	}
	keep, _ := s.dabsOf(noDab)
	for d := range s.keep {
		f.Agreement += s.meanWeight(f.Pick, d) / float64(keep)
	}
	f.Notes = append(f.Notes, fmt.Sprintf("each range keeps %.0f %% of the keep samples; nothing says yet where it must end: add drop dabs on what comes along by mistake", 100*aloneShare))
	return f
}

// aroundFull moves the fades outside the full part: without drop samples the
// whole share is kept in full.
func aroundFull(r Range, m Model, c Channel) Range {
	r.From -= r.Before / 2
	r.To += r.After / 2
	per := decimals(m, c)
	r.From, r.To = roundDown(r.From, per), roundUp(r.To, per)
	if c == Hue {
		width := min(r.To-r.From, 360)
		r.From = float64(colour.Degrees(r.From).Norm())
		r.To = r.From + width
	}
	return r
}

// central returns the bins [lo,hi) that have aloneShare of the keep samples:
// between equal tails on a line, the shortest such arc on the circle. ok is
// false where no sample has a hue.
func (s *samples) central(c Channel) (lo, hi int, ok bool) {
	hist := make([]float64, bins)
	total := 0.0
	for _, k := range s.cells {
		if k.bin[c] >= 0 {
			w := k.count / s.count[k.dab]
			hist[k.bin[c]] += w
			total += w
		}
	}
	if total == 0 {
		return 0, 0, false
	}
	if c == Hue {
		lo, hi = shortestArc(hist, total*aloneShare)
		return lo, hi, true
	}
	tail := total * (1 - aloneShare) / 2
	for sum := hist[0]; sum <= tail; sum += hist[lo] {
		lo++
	}
	hi = bins - 1
	for sum := hist[hi]; sum <= tail; sum += hist[hi] {
		hi--
	}
	return lo, hi + 1, true
}

// shortestArc returns the shortest arc of bins that has at least want.
func shortestArc(hist []float64, want float64) (lo, hi int) {
	n := len(hist)
	type arc struct{ lo, hi int }
	var arcs []arc
	end, sum := 0, 0.0
	for start := range n {
		for sum < want-tie && end < start+n {
			sum += hist[end%n]
			end++
		}
		arcs = append(arcs, arc{start, end})
		sum -= hist[start]
	}
	best := slices.MinFunc(arcs, func(a, b arc) int { return cmp.Compare(a.hi-a.lo, b.hi-b.lo) })
	return best.lo, best.hi
}
