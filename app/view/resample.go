package view

import (
	"encoding/binary"

	"halocline/colour"
)

// Pictures are resampled two channels at a time: a word of 64 bits holds two
// lanes of 32, R and G, or B and nothing. A sample is 255 x 16 = 4080 where the
// picture is 1; each pass multiplies by weights that sum to 1024. No lane
// overflows: 4080 x 1024 x 1024 plus one half of a code is under 2^32. Sums are
// linear, so lanes may borrow from each other on the way to a sum.
const (
	sampleBits = 4
	sampleOne  = 255 << sampleBits
	dropBits   = sampleBits + 2*weightBits // to 8 bits
	halfCode   = 1 << (dropBits - 1)
	halfCodes  = halfCode<<32 | halfCode
)

// A pair is a pixel: R and G, B.
type pair struct{ rg, b uint64 }

// sample is v of [0,1] as a lane; 0 where it is not a number.
func sample(v float32) uint64 {
	if !(v > 0) {
		return 0
	}
	return uint64(int32(min(v, 1)*sampleOne + 0.5))
}

// pictureRows makes the view's rows of a picture, for one strip.
type pictureRows struct {
	src  []pair // one row of samples, and as many more as taps may reach beyond it
	sum  []pair
	wide rowRing[pair]
	code []uint8 // a row of samples in 8 bits
}

func (r *pictureRows) begin(taps int) { r.wide.begin(taps) }

// row writes row i of those that show the picture, R, G, B, 255, to dst.
func (r *pictureRows) row(dst []uint8, m *colour.Image, x, y *taps, i int) {
	if y.n == 0 {
		r.crisp(dst, m, x, int(y.near[i]))
		return
	}
	first, weights := int(y.first[i]), y.weight[i*y.n:][:y.n]
	if y.n == 2 {
		a, b := r.across(m, x, first), r.across(m, x, min(first+1, m.R.H-1))
		w := uint64(weights[1])
		b, dst = b[:len(a)], dst[:4*len(a)]
		for i, p := range a {
			q := b[i]
			writePair(dst[4*i:], p.rg<<weightBits+(q.rg-p.rg)*w, p.b<<weightBits+(q.b-p.b)*w)
		}
		return
	}
	r.sum = colour.Resized(r.sum, len(x.near))
	clear(r.sum)
	for k, w := range weights {
		if w == 0 {
			continue
		}
		for i, p := range r.across(m, x, first+k) {
			r.sum[i].rg += p.rg * uint64(w)
			r.sum[i].b += p.b * uint64(w)
		}
	}
	for i, p := range r.sum {
		writePair(dst[4*i:], p.rg, p.b)
	}
}

// writePair rounds a finished pixel to 8 bits.
func writePair(dst []uint8, rg, b uint64) {
	rg, b = rg+halfCodes, b+halfCode
	rgb := uint32(rg>>dropBits)&0xff | uint32(rg>>(dropBits+32-8))&0xff00 | uint32(b>>(dropBits-16))&0xff0000
	binary.LittleEndian.PutUint32(dst, rgb|0xff000000)
}

// crisp writes the samples the view's pixels lie in.
func (r *pictureRows) crisp(dst []uint8, m *colour.Image, x *taps, y int) {
	lo, hi := int(x.near[0]), int(x.near[len(x.near)-1])+1
	r.code = colour.Resized(r.code, 4*(hi-lo))
	colour.RGBARow(r.code, m.R.Row(y)[lo:hi], m.G.Row(y)[lo:hi], m.B.Row(y)[lo:hi])
	for i, n := range x.near {
		binary.LittleEndian.PutUint32(dst[4*i:], binary.LittleEndian.Uint32(r.code[4*(int(n)-lo):]))
	}
}

// across returns row y of m at the view's width, times weightOne.
func (r *pictureRows) across(m *colour.Image, x *taps, y int) []pair {
	out, made := r.wide.row(y, len(x.near))
	if made {
		return out
	}
	red, green, blue := m.R.Row(y), m.G.Row(y), m.B.Row(y)
	r.src = colour.Resized(r.src, len(red)+x.n)
	lo, hi := x.reach(len(red))
	for i := lo; i < hi; i++ {
		r.src[i] = pair{sample(red[i]) | sample(green[i])<<32, sample(blue[i])}
	}
	if x.n == 2 {
		second, src := x.second[:len(x.first)], r.src
		out = out[:len(x.first)]
		for i, f := range x.first {
			two := src[f : f+2 : f+2]
			p, q, w := two[0], two[1], uint64(second[i])
			out[i] = pair{p.rg<<weightBits + (q.rg-p.rg)*w, p.b<<weightBits + (q.b-p.b)*w}
		}
		return out
	}
	for i, f := range x.first {
		var sum pair
		src := r.src[f:]
		for k, w := range x.weight[i*x.n:][:x.n] {
			sum.rg += src[k].rg * uint64(w)
			sum.b += src[k].b * uint64(w)
		}
		out[i] = sum
	}
	return out
}

// matteRows is pictureRows for one channel.
type matteRows struct {
	src, sum []uint32
	wide     rowRing[uint32]
	code     []uint8
}

func (r *matteRows) begin(taps int) { r.wide.begin(taps) }

// row writes row i of those that show the picture, 8 bits a pixel, to dst.
func (r *matteRows) row(dst []uint8, p *colour.Plane, x, y *taps, i int) {
	if y.n == 0 {
		r.crisp(dst, p, x, int(y.near[i]))
		return
	}
	first, weights := int(y.first[i]), y.weight[i*y.n:][:y.n]
	if y.n == 2 {
		a, b := r.across(p, x, first), r.across(p, x, min(first+1, p.H-1))
		w := uint32(weights[1])
		b, dst = b[:len(a)], dst[:len(a)]
		for i, v := range a {
			dst[i] = uint8((v<<weightBits + (b[i]-v)*w + halfCode) >> dropBits)
		}
		return
	}
	r.sum = colour.Resized(r.sum, len(x.near))
	clear(r.sum)
	for k, w := range weights {
		if w == 0 {
			continue
		}
		for i, v := range r.across(p, x, first+k) {
			r.sum[i] += v * uint32(w)
		}
	}
	for i, v := range r.sum {
		dst[i] = uint8((v + halfCode) >> dropBits)
	}
}

func (r *matteRows) crisp(dst []uint8, p *colour.Plane, x *taps, y int) {
	lo, hi := int(x.near[0]), int(x.near[len(x.near)-1])+1
	r.code = colour.Resized(r.code, hi-lo)
	colour.Codes8(r.code, p.Row(y)[lo:hi])
	for i, n := range x.near {
		dst[i] = r.code[int(n)-lo]
	}
}

func (r *matteRows) across(p *colour.Plane, x *taps, y int) []uint32 {
	out, made := r.wide.row(y, len(x.near))
	if made {
		return out
	}
	row := p.Row(y)
	r.src = colour.Resized(r.src, len(row)+x.n)
	lo, hi := x.reach(len(row))
	for i := lo; i < hi; i++ {
		r.src[i] = uint32(sample(row[i]))
	}
	if x.n == 2 {
		second, src := x.second[:len(x.first)], r.src
		out = out[:len(x.first)]
		for i, f := range x.first {
			two := src[f : f+2 : f+2]
			out[i] = two[0]<<weightBits + (two[1]-two[0])*uint32(second[i])
		}
		return out
	}
	for i, f := range x.first {
		var sum uint32
		src := r.src[f:]
		for k, w := range x.weight[i*x.n:][:x.n] {
			sum += src[k] * uint32(w)
		}
		out[i] = sum
	}
	return out
}

// A rowRing keeps the last few rows of a strip that were brought to the view's
// width: those of neighbouring rows of the view.
type rowRing[T any] struct {
	rows [][]T // by number modulo their count
	of   []int // which rows they are, -1 for none
}

func (r *rowRing[T]) begin(taps int) {
	for len(r.rows) < taps {
		r.rows, r.of = append(r.rows, nil), append(r.of, -1)
	}
	for i := range r.of {
		r.of[i] = -1
	}
}

// row returns row y, width long, and whether it is made already.
func (r *rowRing[T]) row(y, width int) (row []T, made bool) {
	i := y % len(r.rows)
	if r.of[i] == y {
		return r.rows[i], true
	}
	r.of[i], r.rows[i] = y, colour.Resized(r.rows[i], width)
	return r.rows[i], false
}

// reach returns from which sample to which the taps blend, of count.
func (t *taps) reach(count int) (lo, hi int) {
	return int(t.first[0]), min(int(t.first[len(t.first)-1])+t.n, count)
}
