package selection

import (
	"context"
	"math"

	"halocline/colour"
)

// coarseFrom is the sigma from which Soften works on squares.
const coarseFrom = 4

// softenSide returns the side of those squares: the largest power of two up to
// sigma/2, at most RegionGrid, so that squares begin where regions do.
func softenSide(sigma float64) int {
	side := 1
	for sigma >= coarseFrom && side < RegionGrid && float64(4*side) <= sigma {
		side *= 2
	}
	return side
}

// spline returns the quadratic B-spline at u, which is within 1.5 of its middle.
// It spreads by a variance of 1/4, at every phase the same.
func spline(u float64) float64 {
	if u = math.Abs(u); u < 0.5 {
		return 0.75 - float64(u*u)
	}
	return 0.5 * float64((1.5-u)*(1.5-u))
}

// coarseSigma returns the sigma, in squares, that is left to do when a B-spline
// takes pixels to squares and another back.
func coarseSigma(sigma float64, side int) float64 {
	k := float64(side)
	spread, sum := 0.25, 0.
	for i := range 3 * side {
		u := (float64(i)+0.5)/k - 1.5
		sum += float64(spline(u) * float64(u*u))
	}
	spread += sum / k
	return math.Sqrt(float64(sigma/k*(sigma/k)) - spread)
}

// coarse is the wide Gaussian: B-splines gather pixels into squares, the small
// plane is blurred, B-splines spread it out again. Means of squares instead
// would let fine detail of a matte through as blotches.
//
// What takes part goes through the same as alpha, and the result is alpha times
// one over that, so the ends of the plane and of the masks need no other rule.
// Where all takes part, this is the same for most rows, and worked out once.
type coarse struct {
	side    int
	kernel  kernel
	weight  []float32   // of 3 side pixels for the square in their middle
	small   [2]small    // alpha, and what takes part
	inverse [][]float32 // by row of a square: one over the weight, far from both ends
	strips  colour.Pool[coarseStrip]
}

// small is a plane of squares with a margin of one on all sides, the same
// blurred along its rows, and blurred.
type small struct{ sum, along, blurred colour.Plane }

func (m *small) reshape(cw, ch int) {
	for _, p := range []*colour.Plane{&m.sum, &m.along, &m.blurred} {
		p.Reshape(cw, ch)
	}
}

// coarseStrip keeps rows on their way.
type coarseStrip struct {
	ring    [2][][]float32 // rows of pixels, of alpha and of what takes part
	ready   int            // rows below it are in the ring
	noPixel []float32      // a row of pixels outside
	ones    []float32      // and one of which all takes part
	row     []float32      // pixels, with two squares of zeros before and behind
	inverse []float32
	down    []float32 // squares
	padded  []float32 // squares, with the kernel's reach of zeros
	none    []float32 // a row of squares outside
	taps    [][]float32
}

func (s *coarseStrip) reset(w, cw, side, reach int) {
	for i := range s.ring {
		s.ring[i] = colour.ResizedRows(s.ring[i], 3*side, w)
	}
	s.noPixel, s.ones, s.inverse = colour.Resized(s.noPixel, w), colour.Resized(s.ones, w), colour.Resized(s.inverse, w)
	s.row = colour.Resized(s.row, (cw+2)*side)
	s.down, s.none, s.padded = colour.Resized(s.down, cw), colour.Resized(s.none, cw), colour.Resized(s.padded, cw+2*reach)
	for _, row := range [][]float32{s.noPixel, s.row, s.none, s.padded} {
		clear(row)
	}
	for x := range s.ones {
		s.ones[x] = 1
	}
}

func (c *coarse) run(ctx context.Context, dst, src *colour.Plane, in domain, sigma float64, side, workers int) error {
	c.prepare(sigma, side)
	w, h := in.Size()
	cw, ch := (w+side-1)/side+2, (h+side-1)/side+2
	for i := range c.small {
		c.small[i].reshape(cw, ch)
	}
	each := func(h, rows int, work func(s *coarseStrip, y0, y1 int)) error {
		return colour.EachStrip(ctx, workers, h, rows, func(y0, y1 int) {
			s := c.strips.Take()
			s.reset(w, cw, side, c.kernel.reach())
			work(s, y0, y1)
			c.strips.Give(s)
		})
	}
	planes := c.small[:]
	if in.Mask == nil {
		planes = c.small[:1]
		c.weigh(w, h)
	}
	squares := max(4, 2*RegionGrid/side) // rows of them in a strip
	err := each(ch, squares, func(s *coarseStrip, y0, y1 int) { c.gather(s, src, in, y0, y1) })
	if err == nil {
		err = each(ch, squares, func(s *coarseStrip, y0, y1 int) {
			for y := y0; y < y1; y++ {
				for _, p := range planes {
					c.blurAlong(s, p.along.Row(y), p.sum.Row(y))
				}
			}
		})
	}
	if err == nil {
		err = each(ch, squares, func(s *coarseStrip, y0, y1 int) {
			for y := y0; y < y1; y++ {
				for _, p := range planes {
					c.blurDown(s, p.blurred.Row(y), y, p.along.Row)
				}
			}
		})
	}
	if err == nil {
		err = each(h, RegionGrid, func(s *coarseStrip, y0, y1 int) {
			for y := y0; y < y1; y++ {
				c.spread(s, dst, src, in, y)
			}
		})
	}
	return err
}

func (c *coarse) prepare(sigma float64, side int) {
	c.side = side
	c.kernel.set(coarseSigma(sigma, side))
	c.weight = colour.Resized(c.weight, 3*side)
	for i := range c.weight {
		c.weight[i] = float32(spline((float64(i)+0.5)/float64(side) - 1.5))
	}
}

// weigh prepares the weights of a plane of which all takes part: of every row
// of squares, and one over those of the pixels far from both ends.
func (c *coarse) weigh(w, h int) {
	s, one := c.strips.Take(), &c.small[1]
	defer c.strips.Give(s)
	cw, ch, reach := one.sum.W, one.sum.H, c.kernel.reach()
	s.reset(w, cw, c.side, reach)
	full := func(y int) bool { return y >= 2 && (y+1)*c.side <= h } // all its pixels are in the plane
	inside := func(y int) bool { return full(y-reach) && full(y+reach) }
	for y := range ch {
		if full(y) && full(y-1) {
			copy(one.along.Row(y), one.along.Row(y-1))
			continue
		}
		c.gatherRow(s, one.sum.Row(y), y, h, func(int) []float32 { return s.ones })
		c.blurAlong(s, one.along.Row(y), one.sum.Row(y))
	}
	for y := range ch {
		if y > 0 && inside(y) && inside(y-1) {
			copy(one.blurred.Row(y), one.blurred.Row(y-1))
		} else {
			c.blurDown(s, one.blurred.Row(y), y, one.along.Row)
		}
	}
	c.inverse = colour.ResizedRows(c.inverse, c.side, w)
	for y := 1; y < ch-1; y++ {
		if c.uniform(y, h) {
			for i, row := range c.inverse[:c.side] {
				c.rise(s, row, &one.blurred, (y-1)*c.side+i)
				invert(row)
			}
			return
		}
	}
}

// uniform reports whether the pixels of a row of squares get nothing from
// beyond the ends of a plane of h rows.
func (c *coarse) uniform(y, h int) bool {
	reach := c.kernel.reach() + 1
	return y-reach >= 2 && (y+reach+1)*c.side <= h
}

// gather fills rows [y0,y1) of squares.
func (c *coarse) gather(s *coarseStrip, src *colour.Plane, in domain, y0, y1 int) {
	_, h := in.Size()
	n := 3 * c.side
	s.ready = max(0, (y0-2)*c.side)
	for y := y0; y < y1; y++ {
		for ; s.ready < min((y+1)*c.side, h); s.ready++ {
			part, slot := in.Part(s.ready), s.ready%n
			tidyRow(s.ring[0][slot], in.Row(src, s.ready))
			if part != nil {
				takingPart(s.ring[0][slot], s.ring[1][slot], part)
			}
		}
		c.gatherRow(s, c.small[0].sum.Row(y), y, h, func(y int) []float32 { return s.ring[0][y%n] })
		if in.Mask != nil {
			c.gatherRow(s, c.small[1].sum.Row(y), y, h, func(y int) []float32 { return s.ring[1][y%n] })
		}
	}
}

// takingPart clears the samples of row that take no part, and writes 1 to
// weight for the others.
func takingPart(row, weight, part []float32) {
	row, weight = row[:len(part)], weight[:len(part)]
	for x, m := range part {
		weight[x] = 1
		if !(m > 0) {
			row[x], weight[x] = 0, 0
		}
	}
}

// gatherRow fills row y of squares from the rows of pixels about it.
func (c *coarse) gatherRow(s *coarseStrip, to []float32, y, h int, row func(y int) []float32) {
	s.taps = s.taps[:0]
	for i := range c.weight {
		if at := (y-2)*c.side + i; at >= 0 && at < h {
			s.taps = append(s.taps, row(at))
		} else {
			s.taps = append(s.taps, s.noPixel)
		}
	}
	pixels := s.row[2*c.side:][:len(s.noPixel)]
	weighRows(pixels, s.taps, c.weight)
	if c.side == 2 {
		gatherPairs(to, s.row, c.weight)
		return
	}
	for x := range to {
		sum := float32(0)
		for i, v := range s.row[x*c.side:][:len(c.weight)] {
			sum += float32(c.weight[i] * v)
		}
		to[x] = sum
	}
}

// gatherPairs is gatherRow's sum for squares of two pixels, which are the smallest
// and take longest.
func gatherPairs(to, row, weight []float32) {
	a, b, c, d, e, f := weight[0], weight[1], weight[2], weight[3], weight[4], weight[5]
	for x := range to {
		v := row[2*x:][:6]
		sum := float32(a*v[0]) + float32(b*v[1])
		sum += float32(c * v[2])
		sum += float32(d * v[3])
		sum += float32(e * v[4])
		to[x] = sum + float32(f*v[5])
	}
}

func (c *coarse) blurAlong(s *coarseStrip, to, from []float32) {
	reach := c.kernel.reach()
	copy(s.padded[reach:], from)
	s.taps = s.taps[:0]
	for i := range 2*reach + 1 {
		s.taps = append(s.taps, s.padded[i:])
	}
	convolve(to, s.taps, c.kernel.weight)
}

// blurDown blurs columns about row y.
func (c *coarse) blurDown(s *coarseStrip, to []float32, y int, row func(y int) []float32) {
	reach, ch := c.kernel.reach(), c.small[0].sum.H
	s.taps = s.taps[:0]
	for i := y - reach; i <= y+reach; i++ {
		if i >= 0 && i < ch {
			s.taps = append(s.taps, row(i))
		} else {
			s.taps = append(s.taps, s.none)
		}
	}
	convolve(to, s.taps, c.kernel.weight)
}

// spread writes row y of pixels.
func (c *coarse) spread(s *coarseStrip, dst, src *colour.Plane, in domain, y int) {
	to := in.Row(dst, y)
	c.rise(s, to, &c.small[0].blurred, y)
	if _, h := in.Size(); in.Mask == nil && c.uniform(y/c.side+1, h) {
		times(to, c.inverse[y%c.side])
		return
	}
	c.rise(s, s.inverse, &c.small[1].blurred, y)
	invert(s.inverse)
	times(to, s.inverse)
	keep(to, in.Row(src, y), in.Part(y))
}

// rise spreads squares over row y of pixels.
func (c *coarse) rise(s *coarseStrip, to []float32, p *colour.Plane, y int) {
	i, at := y%c.side, y/c.side
	next, own, before := c.weight[i], c.weight[c.side+i], c.weight[2*c.side+i]
	a, b, d, down := p.Row(at), p.Row(at + 1)[:p.W], p.Row(at + 2)[:p.W], s.down[:p.W]
	for x, v := range a {
		down[x] = float32(before*v) + float32(own*b[x]) + float32(next*d[x])
	}
	widen(to, down, c.weight)
}

// widen spreads a row of squares, with one beside either end, over pixels.
func widen(to, squares, weight []float32) {
	side := len(weight) / 3
	next, own, before := weight[:side], weight[side:2*side], weight[2*side:]
	if side == 2 && len(to)%2 == 0 {
		widenPairs(to, squares, weight)
		return
	}
	for at := 0; at < len(to); at += side {
		i := at / side
		a, b, d := squares[i], squares[i+1], squares[i+2]
		part := to[at:min(at+side, len(to))]
		before, own, next := before[:len(part)], own[:len(part)], next[:len(part)]
		for x := range part {
			part[x] = float32(a*before[x]) + float32(b*own[x]) + float32(d*next[x])
		}
	}
}

// widenPairs is widen for squares of two pixels.
func widenPairs(to, squares, weight []float32) {
	next0, next1, own0, own1, before0, before1 := weight[0], weight[1], weight[2], weight[3], weight[4], weight[5]
	squares = squares[:len(to)/2+2]
	a, b := squares[0], squares[1]
	for i, d := range squares[2:] {
		pair := to[2*i:][:2]
		pair[0] = float32(a*before0) + float32(b*own0) + float32(d*next0)
		pair[1] = float32(a*before1) + float32(b*own1) + float32(d*next1)
		a, b = b, d
	}
}
