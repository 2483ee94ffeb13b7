package guided

import "halocline/colour"

// Samples are whole numbers in the sums, so that these are exact. The guide has
// 14 bits: more would not fit a cell's sum of products, and the rounding stays
// below a hundredth of the noise that eps passes over. Alpha has 14 bits in the
// products, 10 more for its mean.
const (
	guideOne = 1<<14 - 1
	lowOne   = 1 << 10
)

// The planes of sums for one row of cells; the first ones are samples.
const (
	sumR, sumG, sumB    = 0, 1, 2
	sumP, sumLow        = 3, 4 // alpha, and what rounding took from it
	sumN                = 5    // pixels that take part
	samplePlanes        = 6
	sumRP, sumGP, sumBP = 6, 7, 8
	sumRR, sumRG, sumRB = 9, 10, 11
	sumGG, sumGB, sumBB = 12, 13, 14
	momentPlanes        = 15
)

// products are the planes whose products are summed, from sumRP on.
var products = [...][2]int{
	{sumR, sumP}, {sumG, sumP}, {sumB, sumP},
	{sumR, sumR}, {sumR, sumG}, {sumR, sumB}, {sumG, sumG}, {sumG, sumB}, {sumB, sumB},
}

// load sums the pixels of a row of cells.
func (s *strip) load(cy int, into [][]uint32) {
	_, h := s.in.Size()
	if s.stride == 1 {
		s.quantise(into, cy)
		for i, pair := range products {
			multiply(into[sumRP+i], into[pair[0]], into[pair[1]])
		}
		return
	}
	for _, plane := range into {
		clear(plane)
	}
	for y := cy * s.stride; y < min((cy+1)*s.stride, h); y++ {
		s.quantise(s.pixel[:], y)
		for i := range s.pixel {
			addCells(into[i], s.pixel[i], s.stride)
		}
		for i, pair := range products {
			addProducts(into[sumRP+i], s.pixel[pair[0]], s.pixel[pair[1]], s.stride)
		}
	}
}

func multiply(to, a, b []uint32) {
	a, b = a[:len(to)], b[:len(to)]
	for x := range to {
		to[x] = a[x] * b[x]
	}
}

// addCells adds the pixels of each cell, stride of them, two or four, to it.
func addCells(to, a []uint32, stride int) {
	a = a[:len(to)*stride]
	if stride == 2 {
		for c := range to {
			to[c] += a[2*c] + a[2*c+1]
		}
		return
	}
	for c := range to {
		i := 4 * c
		to[c] += a[i] + a[i+1] + a[i+2] + a[i+3]
	}
}

// addProducts adds the products of the pixels of each cell, stride of them, to it.
func addProducts(to, a, b []uint32, stride int) {
	a, b = a[:len(to)*stride], b[:len(to)*stride]
	if stride == 2 {
		for c := range to {
			to[c] += a[2*c]*b[2*c] + a[2*c+1]*b[2*c+1]
		}
		return
	}
	for c := range to {
		i := 4 * c
		to[c] += a[i]*b[i] + a[i+1]*b[i+1] + a[i+2]*b[i+2] + a[i+3]*b[i+3]
	}
}

// quantise writes a row of pixels as whole numbers: guide, alpha, its low part,
// and 1. Those that take no part are 0.
func (s *strip) quantise(into [][]uint32, y int) {
	for c, p := range []*colour.Plane{&s.guide.R, &s.guide.G, &s.guide.B} {
		row := s.in.Row(p, y)
		out := into[c][:len(row)]
		for x, v := range row {
			out[x] = uint32(int32(float32(colour.Clamped(v)*guideOne) + 0.5))
		}
	}
	row := s.in.Row(s.src, y)
	high, low, count := into[sumP][:len(row)], into[sumLow][:len(row)], into[sumN][:len(row)]
	for x, v := range row {
		all := uint32(int64(float64(float64(colour.Clamped(v))*(guideOne*lowOne)) + 0.5))
		high[x], low[x], count[x] = all/lowOne, all%lowOne, 1
	}
	for x, m := range s.in.Part(y) {
		if !(m > 0) {
			for _, plane := range into[:samplePlanes] {
				plane[x] = 0
			}
		}
	}
}
