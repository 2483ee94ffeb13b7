package view

import (
	"context"

	"halocline/colour"
	"halocline/selection"
)

// A settled is a map of reasons fit to be drawn as patterns: each rejected pixel
// has the reason most of the rejected ones around it have, over settleReach
// source pixels to each side. What is in and what is out stays as it is, and so
// do the shares that a legend gives: they are the caller's, of the true reasons.
type settled struct {
	of      *selection.Reason // the first of those it was made of; nil: not made
	reasons []selection.Reason
}

const settleReach = 2 // source px: 5 x 5 of them

// renew makes the map for w x h reasons of one sample per factor x factor
// pixels, unless it is at hand.
func (s *settled) renew(ctx context.Context, from []selection.Reason, w, h, factor, workers int) error {
	if s.of == &from[0] {
		return nil
	}
	s.of = nil
	s.reasons = colour.Resized(s.reasons, w*h)
	reach := int(float64(settleReach)/float64(factor) + 0.5)
	if reach == 0 {
		copy(s.reasons, from)
	} else if err := colour.EachBand(ctx, workers, h, func(y0, y1 int) {
		settleBand(s.reasons, from, w, h, reach, y0, y1)
	}); err != nil {
		return err
	}
	s.of = &from[0]
	return nil
}

// Reasons are counted in the bytes of a word, one byte a reason, which eight of them
// fill: no count exceeds 25.
func tally(r selection.Reason) uint64 {
	if int(r) >= selection.ReasonCount {
		return 0
	}
	return 1 << (8 * r)
}

// settleBand settles the rows [y0,y1).
func settleBand(dst, from []selection.Reason, w, h, reach, y0, y1 int) {
	columns := make([]uint64, w+2*reach) // tallies of the rows around, with as many empty ones at both ends
	add := func(y int, sign uint64) {
		if y < 0 || y >= h {
			return
		}
		for x, r := range from[y*w : (y+1)*w] {
			columns[x+reach] += sign * tally(r)
		}
	}
	for y := y0 - reach; y < y0+reach; y++ {
		add(y, 1)
	}
	for y := y0; y < y1; y++ {
		add(y+reach, 1)
		settleRow(dst[y*w:(y+1)*w], from[y*w:(y+1)*w], columns, reach)
		add(y-reach, ^uint64(0))
	}
}

func settleRow(dst, from []selection.Reason, columns []uint64, reach int) {
	var around uint64
	for _, c := range columns[:2*reach] {
		around += c
	}
	for x, own := range from {
		around += columns[x+2*reach]
		dst[x] = own
		if own != selection.In && around != tally(own)*(around>>(8*own)&0xff) {
			dst[x] = most(around, own)
		}
		around -= columns[x]
	}
}

// most is the reason that is counted most, In apart; of equal ones own, else the
// first.
func most(counts uint64, own selection.Reason) selection.Reason {
	best := own
	for r := selection.ByHue; r <= selection.ByFound; r++ {
		if counts>>(8*r)&0xff > counts>>(8*best)&0xff {
			best = r
		}
	}
	return best
}
