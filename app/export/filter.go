package export

import (
	"bytes"
	"encoding/binary"
	"slices"

	"halocline/colour"
)

// up is the number of the filter that every row has: each byte less the one
// above it (specification, section 9.2). In mattes most rows repeat most of the
// row above, which leaves zeros.
const up = 2

// codes writes the samples of one row, channel by channel within each pixel,
// high bytes first.
func codes(dst []byte, depth int, channels ...[]float32) {
	switch {
	case len(channels) == 1 && depth == 8:
		colour.Codes8(dst, channels[0])
	case len(channels) == 1:
		colour.Codes16BE(dst, channels[0])
	case depth == 8:
		for c, samples := range channels {
			for x, v := range samples {
				dst[x*len(channels)+c] = colour.Code8(v)
			}
		}
	default:
		for c, samples := range channels {
			for x, v := range samples {
				binary.BigEndian.PutUint16(dst[2*(x*len(channels)+c):], colour.Code16(v))
			}
		}
	}
}

// filter writes rows [y0,y1), stride bytes each, to k.filtered, and returns
// their checksum.
func (k *scratch) filter(stride, y0, y1 int, fill func(dst []byte, y int)) adler {
	k.above = slices.Grow(k.above[:0], stride)[:stride]
	k.row = slices.Grow(k.row[:0], stride)[:stride]
	n := (y1 - y0) * (1 + stride)
	k.filtered = slices.Grow(k.filtered[:0], n)[:n]
	if y0 == 0 {
		clear(k.above) // as the specification has it
	} else {
		fill(k.above, y0-1)
	}
	sum := adlerStart
	for y := y0; y < y1; y++ {
		fill(k.row, y)
		out := k.filtered[(y-y0)*(1+stride):][:1+stride]
		out[0] = up
		if bytes.Equal(k.row, k.above) {
			clear(out[1:])
			sum = sum.add(out[:1]).zeros(stride)
			continue
		}
		subtract(out[1:], k.row, k.above)
		sum = sum.add(out)
		k.row, k.above = k.above, k.row
	}
	return sum
}

// subtract sets each byte of dst to that of a less that of b, modulo 256. The
// three have one length.
func subtract(dst, a, b []byte) {
	const tops = 0x8080808080808080
	n := len(dst) &^ 7
	for i := 0; i < n; i += 8 {
		x, y := binary.LittleEndian.Uint64(a[i:i+8]), binary.LittleEndian.Uint64(b[i:i+8])
		// Borrows stop at the top bit of each byte, which is set before and
		// put right after.
		d := ((x | tops) - (y &^ tops)) ^ ((x ^ ^y) & tops)
		binary.LittleEndian.PutUint64(dst[i:i+8], d)
	}
	for i := n; i < len(dst); i++ {
		dst[i] = a[i] - b[i]
	}
}
