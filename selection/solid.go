package selection

import (
	"iter"
	"math"
	"math/bits"

	"halocline/colour"
)

// blockSide is how many pixels of a row a bit of solidity stands for.
const blockSide = 8

// solidity tells, by blocks of a row of a mask, what a kernel finds there that
// reaches so far along the row. What lies outside the row takes no part.
type solidity struct {
	all  rowSet // blocks of which all pixels take part
	some rowSet // and those of which some do
	deep rowSet // all pixels within reach of the block take part
	near rowSet // some do, or are little farther
}

// read takes in a row of a mask.
func (s *solidity) read(part []float32, reach int) {
	words := (len(part) + 64*blockSide - 1) / (64 * blockSide)
	for _, set := range []*rowSet{&s.all, &s.some, &s.deep, &s.near} {
		*set = colour.Resized(*set, words)
	}
	clear(s.all)
	clear(s.some)
	for i := 0; i*blockSide < len(part); i++ {
		all, some := blockTakesPart(part[i*blockSide : min((i+1)*blockSide, len(part))])
		if all {
			s.all[i/64] |= 1 << (i % 64)
		}
		if some {
			s.some[i/64] |= 1 << (i % 64)
		}
	}
	copy(s.deep, s.all)
	copy(s.near, s.some)
	for range (reach + blockSide - 1) / blockSide {
		s.deep.erode()
		s.near.dilate()
	}
}

// blockTakesPart reports whether all pixels of a block are above 0, and whether any
// is. Not all are of a block that the row's end cuts: beyond it nothing takes part.
func blockTakesPart(part []float32) (all, some bool) {
	if len(part) == blockSide {
		p := (*[blockSide]float32)(part)
		if p[0] > 0 && p[1] > 0 && p[2] > 0 && p[3] > 0 && p[4] > 0 && p[5] > 0 && p[6] > 0 && p[7] > 0 {
			return true, true
		}
	}
	for _, v := range part {
		if v > 0 {
			return false, true
		}
	}
	return false, false
}

// dilate adds the neighbours of what is in the set.
func (s rowSet) dilate() {
	before := uint64(0)
	for i, word := range s {
		after := uint64(0)
		if i+1 < len(s) {
			after = s[i+1]
		}
		s[i] = word | word<<1 | before>>63 | word>>1 | after<<63
		before = word
	}
}

// erode takes away what has a neighbour that is not in the set.
func (s rowSet) erode() {
	before := uint64(0)
	for i, word := range s {
		after := uint64(0)
		if i+1 < len(s) {
			after = s[i+1]
		}
		s[i] = word & (word<<1 | before>>63) & (word>>1 | after<<63)
		before = word
	}
}

// butFor writes what is in a and not in b.
func (s rowSet) butFor(a, b rowSet) rowSet {
	for i := range s {
		s[i] = a[i] &^ b[i]
	}
	return s
}

// stretches returns the pixels [x0,x1) of the blocks in the set, in a row of w,
// joined where they touch.
func (s rowSet) stretches(w int) iter.Seq2[int, int] { return s.between(w, 0) }

// gaps returns those of the blocks that are not in the set.
func (s rowSet) gaps(w int) iter.Seq2[int, int] { return s.between(w, math.MaxUint64) }

func (s rowSet) between(w int, flip uint64) iter.Seq2[int, int] {
	return func(yield func(x0, x1 int) bool) {
		for i := s.find(0, flip); i*blockSide < w; {
			end := s.find(i, ^flip)
			if !yield(i*blockSide, min(end*blockSide, w)) {
				return
			}
			i = s.find(end, flip)
		}
	}
}

// find returns the first bit from i on that is set once flip is applied, or one
// that is past the set.
func (s rowSet) find(i int, flip uint64) int {
	for at := i / 64; at < len(s); at++ {
		word := s[at] ^ flip
		if at == i/64 {
			word &= math.MaxUint64 << (i % 64)
		}
		if word != 0 {
			return 64*at + bits.TrailingZeros64(word)
		}
	}
	return 64 * len(s)
}
