package guided

import "halocline/colour"

// A boxer sums planes of numbers under a square window that slides down row by
// row. Its sums are whole numbers, so they are the same wherever it starts.
//
// A sample d rows or columns from the window's middle counts
// clamp(half + 0.5 - d, 0, 1), in 64ths; sums are in units of that. Samples
// times the area of the window must stay below 2^51.
type boxer struct {
	w, h, planes int
	reach        int    // samples on either side of the middle that count in full
	unit, outer  uint64 // what such a sample counts, and what the next one does

	ring  [][][]uint32 // rows by their number modulo the length, then by plane
	none  []uint32     // a row of zeros, for those outside the planes
	col   [][]uint64   // sums down the columns about row y, with zeros beside them
	sum   [][]uint64   // sums under the window about row y
	y     int          // the row that next is about
	ready int          // rows below it are in the ring
	begun bool
}

const boxUnit = 64

// reset prepares a walk down planes of w x h samples, beginning with row y.
func (b *boxer) reset(planes, w, h, y int, half float64) {
	b.planes, b.w, b.h, b.y, b.begun = planes, w, h, y, false
	b.reach, b.unit, b.outer = boxReach(half)
	b.ready = max(0, y-b.reach-1)
	for len(b.ring) < 2*b.reach+4 {
		b.ring = append(b.ring, nil)
	}
	for i := range b.ring {
		b.ring[i] = colour.ResizedRows(b.ring[i], planes, w)
	}
	b.none = colour.Resized(b.none, w)
	clear(b.none)
	b.col, b.sum = colour.ResizedRows(b.col, planes, w+2*(b.reach+2)), colour.ResizedRows(b.sum, planes, w)
	for _, c := range b.col {
		clear(c)
	}
}

// boxReach returns how a window of half the given width counts samples.
func boxReach(half float64) (reach int, unit, outer uint64) {
	n := int((half - 0.5) * boxUnit)
	if n%boxUnit == 0 {
		return n / boxUnit, 1, 0
	}
	return n / boxUnit, boxUnit, uint64(n % boxUnit)
}

// row returns plane p of row y, which is in the ring or outside the planes.
func (b *boxer) row(p, y int) []uint32 {
	if y < 0 || y >= b.h {
		return b.none
	}
	return b.ring[y%len(b.ring)][p]
}

// next returns the sums about the next row. load fills in the planes of a row;
// it is called for one row after the other.
func (b *boxer) next(load func(y int, into [][]uint32)) [][]uint64 {
	for ; b.ready < min(b.y+b.reach+2, b.h); b.ready++ {
		load(b.ready, b.ring[b.ready%len(b.ring)][:b.planes])
	}
	for p := range b.planes {
		col := b.col[p][b.reach+2:][:b.w]
		if b.begun {
			b.move(col, p)
		} else {
			b.begin(col, p)
		}
		b.across(b.sum[p], b.col[p])
	}
	b.begun = true
	b.y++
	return b.sum[:b.planes]
}

// begin sums columns about row y from nothing.
func (b *boxer) begin(col []uint64, p int) {
	for d := -b.reach - 1; d <= b.reach+1; d++ {
		weight := b.unit
		if d < -b.reach || d > b.reach {
			weight = b.outer
		}
		for x, v := range b.row(p, b.y+d)[:len(col)] {
			col[x] += weight * uint64(v)
		}
	}
}

// move makes sums about row y-1 those about row y.
func (b *boxer) move(col []uint64, p int) {
	in, out := b.row(p, b.y+b.reach)[:len(col)], b.row(p, b.y-b.reach-1)[:len(col)]
	if b.outer == 0 {
		for x := range col {
			col[x] += uint64(in[x]) - uint64(out[x])
		}
		return
	}
	next, gone := b.row(p, b.y+b.reach+1)[:len(col)], b.row(p, b.y-b.reach-2)[:len(col)]
	inner, outer := b.unit-b.outer, b.outer
	for x := range col {
		col[x] += inner*(uint64(in[x])-uint64(out[x])) + outer*(uint64(next[x])-uint64(gone[x]))
	}
}

// across sums along a row; col has reach+2 zeros on both sides.
func (b *boxer) across(sum, col []uint64) {
	s := uint64(0)
	for _, v := range col[b.reach+2:][:b.reach] {
		s += b.unit * v // about column -1, but for what follows
	}
	s += b.outer * col[2*b.reach+2]
	n := len(sum)
	in, out := col[2*b.reach+2:][:n], col[1:][:n]
	if b.outer == 0 {
		for x := range sum {
			s += in[x] - out[x]
			sum[x] = s
		}
		return
	}
	next, gone := col[2*b.reach+3:][:n], col[:n]
	inner, outer := b.unit-b.outer, b.outer
	for x := range sum {
		s += inner*(in[x]-out[x]) + outer*(next[x]-gone[x])
		sum[x] = s
	}
}
