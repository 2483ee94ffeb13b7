package selection

import (
	"context"
	"math"

	"halocline/colour"
)

// softenCut is where the Gaussian ends, in sigmas.
const softenCut = 4

// softenRows is the height of the strips that Soften works in: lower ones would
// blur more rows twice, higher ones leave workers idle.
const softenRows = 128

func softens(sigma float64) bool { return kernelReach(sigma) > 0 }

func kernelReach(sigma float64) int { return int(softenCut*sigma + 0.5) }

func softenReach(sigma float64) int {
	side := softenSide(sigma)
	if side == 1 {
		return kernelReach(sigma)
	}
	return side * (kernelReach(coarseSigma(sigma, side)) + 3)
}

// A kernel is half a Gaussian: its weights at 0, 1, 2... of a sum of 1 over
// both sides.
type kernel struct {
	sigma  float64
	weight []float32
}

func (k *kernel) reach() int { return len(k.weight) - 1 }

// set makes k the Gaussian of sigma, sampled at whole numbers, cut at 4 sigma.
func (k *kernel) set(sigma float64) {
	if k.sigma == sigma && k.weight != nil {
		return
	}
	reach := kernelReach(sigma)
	k.sigma, k.weight = sigma, colour.Resized(k.weight, reach+1)
	sum := 0.
	for d := reach; d >= 0; d-- {
		w := gaussAt(float64(d), sigma)
		sum += w
		if d > 0 {
			sum += w
		}
	}
	for d := range k.weight {
		k.weight[d] = float32(gaussAt(float64(d), sigma) / sum)
	}
}

// gaussAt returns exp(-d^2 / (2 sigma^2)), rounded: its last bits differ
// between processors.
func gaussAt(d, sigma float64) float64 {
	const places = 1 << 28
	u := d / sigma
	return math.Round(math.Exp(-0.5*float64(u*u))*places) / places
}

// softener blurs mattes. What takes part is blurred in the same way as alpha,
// and the result is alpha times one over that; where all takes part this is the
// same for most rows, and worked out once. Under a mask it is worked out near
// the mask's borders alone.
type softener struct {
	kernel  kernel
	ones    []float32                        // a row of ones, blurred along
	inverse []float32                        // one over the weight of a row that is far from both ends
	deep    struct{ along, inverse float32 } // the same of one pixel, far from all ends
	strips  colour.Pool[blurStrip]
	coarse  coarse
}

func (s *softener) run(ctx context.Context, dst, src *colour.Plane, in domain, sigma float64, workers int) error {
	in.begin(dst, src)
	if in.Empty() {
		return ctx.Err()
	}
	if side := softenSide(sigma); side > 1 {
		return s.coarse.run(ctx, dst, src, in, sigma, side, workers)
	}
	s.kernel.set(sigma)
	w, h := in.Size()
	if in.Mask == nil {
		s.weigh(w)
	} else {
		s.weighDeep()
	}
	return colour.EachStrip(ctx, workers, h, softenRows, func(y0, y1 int) {
		b := s.strips.Take()
		b.reset(w, s.kernel.reach())
		b.ready = max(0, y0-s.kernel.reach())
		for y := y0; y < y1; y++ {
			for ; b.ready < min(y+s.kernel.reach()+1, h); b.ready++ {
				b.along(s, b.ready, in.Row(src, b.ready), in.Part(b.ready))
			}
			to := in.Row(dst, y)
			if in.Mask != nil {
				b.finishPart(s, to, in.Row(src, y), in.Part(y), y, h)
				continue
			}
			b.finishLit(s, to, y, h)
		}
		s.strips.Give(b)
	})
}

// weigh prepares what all rows have in common where all takes part.
func (s *softener) weigh(w int) {
	b := s.strips.Take()
	defer s.strips.Give(b)
	reach := s.kernel.reach()
	b.reset(w, reach)
	s.ones, s.inverse = colour.Resized(s.ones, w), colour.Resized(s.inverse, w)
	inner := b.padded[reach:][:w]
	for x := range inner {
		inner[x] = 1
	}
	convolve(s.ones, b.shifted(0), s.kernel.weight)
	clear(inner)
	b.taps = b.taps[:0]
	for range 2*reach + 1 {
		b.taps = append(b.taps, s.ones)
	}
	convolve(s.inverse, b.taps, s.kernel.weight)
	invert(s.inverse)
}

// blurStrip blurs the rows of a strip: first along the rows, which it keeps as
// long as the columns need them, then down the columns.
type blurStrip struct {
	w, reach int
	padded   []float32      // a row with zeros beside it
	ring     [2][][]float32 // rows blurred along, of alpha and of what takes part
	none     []float32      // a row outside
	inverse  []float32
	taps     [][]float32
	ready    int        // rows below it are in the ring
	solid    []solidity // of the ring's rows, under a mask
	deep     rowSet
	lit      []rowSet // of the ring's rows: see alongLit
	about    rowSet
	rest     rowSet
}

func (b *blurStrip) reset(w, reach int) {
	b.w, b.reach = w, reach
	b.padded, b.none, b.inverse = colour.Resized(b.padded, w+2*reach), colour.Resized(b.none, w), colour.Resized(b.inverse, w)
	clear(b.padded)
	clear(b.none)
	for i := range b.ring {
		b.ring[i] = colour.ResizedRows(b.ring[i], 2*reach+1, w)
	}
}

// along blurs row y into the ring.
func (b *blurStrip) along(s *softener, y int, row, part []float32) {
	if part != nil {
		b.alongPart(s, y%(2*b.reach+1), row, part)
		return
	}
	tidyRow(b.padded[b.reach:][:b.w], row)
	b.alongLit(s, y%(2*b.reach+1))
}

// shifted returns the padded row from x on, at all its shifts.
func (b *blurStrip) shifted(x int) [][]float32 {
	b.taps = b.taps[:0]
	for i := range 2*b.reach + 1 {
		b.taps = append(b.taps, b.padded[x+i:])
	}
	return b.taps
}

// down blurs columns from x on about row y of h, of which ring has those in
// reach.
func (b *blurStrip) down(to []float32, ring [][]float32, k *kernel, x, y, h int) {
	b.taps = b.taps[:0]
	for i := y - b.reach; i <= y+b.reach; i++ {
		row := b.none
		if i >= 0 && i < h {
			row = ring[i%(2*b.reach+1)]
		}
		b.taps = append(b.taps, row[x:])
	}
	convolve(to, b.taps, k.weight)
}

// inverseOf returns one over the weight about row y of h, where all takes part.
func (b *blurStrip) inverseOf(s *softener, y, h int) []float32 {
	if y >= b.reach && y < h-b.reach {
		return s.inverse
	}
	b.taps = b.taps[:0]
	for i := y - b.reach; i <= y+b.reach; i++ {
		row := b.none
		if i >= 0 && i < h {
			row = s.ones
		}
		b.taps = append(b.taps, row)
	}
	convolve(b.inverse, b.taps, s.kernel.weight)
	invert(b.inverse)
	return b.inverse
}

func invert(row []float32) {
	for x, v := range row {
		row[x] = 1 / v
	}
}

// times multiplies a row by another; what is not a number becomes 0.
func times(row, by []float32) {
	by = by[:len(row)]
	for x, v := range row {
		row[x] = colour.Clamped(float32(v * by[x]))
	}
}
