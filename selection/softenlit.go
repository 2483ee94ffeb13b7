package selection

import (
	"math"

	"halocline/colour"
)

// Most of a matte is 0, and far from anything else it stays 0 when softened: so
// only what is lit, by blocks, is blurred, with the bits that blurring all would
// give.

// alongLit blurs the padded row into a slot of the ring.
func (b *blurStrip) alongLit(s *softener, slot int) {
	for len(b.lit) <= slot {
		b.lit = append(b.lit, nil)
	}
	row, lit := b.ring[0][slot], readLit(b.lit[slot], b.padded[b.reach:][:b.w], b.reach)
	b.lit[slot] = lit
	for x0, x1 := range lit.gaps(b.w) {
		clear(row[x0:x1])
	}
	for x0, x1 := range lit.stretches(b.w) {
		convolve(row[x0:x1], b.shifted(x0), s.kernel.weight)
	}
}

// readLit returns in set the blocks of a row within reach of which something is
// not 0, or little farther.
func readLit(set rowSet, row []float32, reach int) rowSet {
	set = colour.Resized(set, (len(row)+64*blockSide-1)/(64*blockSide))
	clear(set)
	for i := 0; i*blockSide < len(row); i++ {
		if isLit(row[i*blockSide : min((i+1)*blockSide, len(row))]) {
			set[i/64] |= 1 << (i % 64)
		}
	}
	for range (reach + blockSide - 1) / blockSide {
		set.dilate()
	}
	return set
}

func isLit(block []float32) bool {
	if len(block) == blockSide {
		p := (*[blockSide]float32)(block)
		return math.Float32bits(p[0])|math.Float32bits(p[1])|math.Float32bits(p[2])|math.Float32bits(p[3])|
			math.Float32bits(p[4])|math.Float32bits(p[5])|math.Float32bits(p[6])|math.Float32bits(p[7]) != 0
	}
	for _, v := range block {
		if v != 0 {
			return true
		}
	}
	return false
}

// litAbout returns the blocks that are lit in any row in reach of row y of h.
func (b *blurStrip) litAbout(y, h int) rowSet {
	n := 2*b.reach + 1
	b.about = append(b.about[:0], b.lit[y%n]...)
	for i := max(0, y-b.reach); i <= min(y+b.reach, h-1); i++ {
		for at, word := range b.lit[i%n] {
			b.about[at] |= word
		}
	}
	return b.about
}

// finishLit writes row y of h, softened, where all takes part.
func (b *blurStrip) finishLit(s *softener, to []float32, y, h int) {
	lit, inverse := b.litAbout(y, h), b.inverseOf(s, y, h)
	for x0, x1 := range lit.gaps(b.w) {
		clear(to[x0:x1])
	}
	for x0, x1 := range lit.stretches(b.w) {
		b.down(to[x0:x1], b.ring[0], &s.kernel, x0, y, h)
		times(to[x0:x1], inverse[x0:x1])
	}
}
