package selection

import "halocline/colour"

// Softening under a mask. Far inside of what takes part, the weights that are
// blurred beside alpha come to the same number everywhere; far outside they
// come to nothing. So blocks of those kinds are filled in, with the bits that
// blurring them would give, and only the others are blurred.

// weighDeep prepares the weights of a pixel of which all in reach takes part.
func (s *softener) weighDeep() {
	blur := func(v float32) float32 {
		one, taps := []float32{v}, make([][]float32, 2*s.kernel.reach()+1)
		for i := range taps {
			taps[i] = one
		}
		out := []float32{0}
		convolve(out, taps, s.kernel.weight)
		return out[0]
	}
	s.deep.along = blur(1)
	s.deep.inverse = 1 / blur(s.deep.along)
}

// alongPart blurs a row, and what of it takes part, into a slot of the ring.
func (b *blurStrip) alongPart(s *softener, slot int, row, part []float32) {
	for len(b.solid) <= slot {
		b.solid = append(b.solid, solidity{})
	}
	solid, inner := &b.solid[slot], b.padded[b.reach:][:b.w]
	solid.read(part, b.reach)
	b.rest = colour.Resized(b.rest, len(solid.all))
	for x0, x1 := range solid.some.gaps(b.w) {
		clear(inner[x0:x1])
	}
	for x0, x1 := range solid.some.stretches(b.w) {
		tidyRow(inner[x0:x1], row[x0:x1])
	}
	for x0, x1 := range b.rest.butFor(solid.some, solid.all).stretches(b.w) {
		dropOthers(inner[x0:x1], part[x0:x1])
	}
	b.alongLit(s, slot)
	weight := b.ring[1][slot]
	for x0, x1 := range solid.near.gaps(b.w) {
		clear(weight[x0:x1])
	}
	for x0, x1 := range solid.deep.stretches(b.w) {
		fill(weight[x0:x1], s.deep.along)
	}
	for x0, x1 := range b.rest.butFor(solid.near, solid.deep).stretches(b.w) {
		from, to := max(0, x0-b.reach), min(b.w, x1+b.reach)
		mark(inner[from:to], part[from:to])
		convolve(weight[x0:x1], b.shifted(x0), s.kernel.weight)
	}
}

// finishPart writes row y of h: what of src takes part, softened.
func (b *blurStrip) finishPart(s *softener, to, src, part []float32, y, h int) {
	own := &b.solid[y%(2*b.reach+1)]
	deep, lit := b.deepAbout(y, h), b.litAbout(y, h)
	for i := range deep {
		lit[i] &= own.near[i]
		deep[i] &= lit[i]
	}
	for x0, x1 := range b.rest.butFor(own.near, lit).stretches(b.w) {
		clear(to[x0:x1])
	}
	for x0, x1 := range lit.stretches(b.w) {
		b.down(to[x0:x1], b.ring[0], &s.kernel, x0, y, h)
	}
	for x0, x1 := range deep.stretches(b.w) {
		scaleBy(to[x0:x1], s.deep.inverse)
	}
	for x0, x1 := range b.rest.butFor(lit, deep).stretches(b.w) {
		b.down(b.inverse[x0:x1], b.ring[1], &s.kernel, x0, y, h)
		invert(b.inverse[x0:x1])
		times(to[x0:x1], b.inverse[x0:x1])
	}
	for x0, x1 := range own.all.gaps(b.w) {
		keep(to[x0:x1], src[x0:x1], part[x0:x1])
	}
}

// deepAbout returns the blocks that are deep in all rows in reach of row y of h.
func (b *blurStrip) deepAbout(y, h int) rowSet {
	n := 2*b.reach + 1
	b.deep = append(b.deep[:0], b.solid[y%n].deep...)
	if y < b.reach || y+b.reach >= h {
		clear(b.deep)
		return b.deep
	}
	for i := y - b.reach; i <= y+b.reach; i++ {
		for at, word := range b.solid[i%n].deep {
			b.deep[at] &= word
		}
	}
	return b.deep
}

// dropOthers clears the samples of row that take no part.
func dropOthers(row, part []float32) {
	part = part[:len(row)]
	for x := range row {
		if !(part[x] > 0) {
			row[x] = 0
		}
	}
}

// mark writes 1 where a pixel takes part, else 0.
func mark(row, part []float32) {
	part = part[:len(row)]
	for x := range row {
		row[x] = 0
		if part[x] > 0 {
			row[x] = 1
		}
	}
}

// scaleBy multiplies a row by a number, and clamps it to [0,1].
func scaleBy(row []float32, by float32) {
	for x, v := range row {
		row[x] = colour.Clamped(float32(v * by))
	}
}
