package clf

import (
	"math"
	"sort"
)

// Limits of tables. The specification bounds the first, and advises against a larger
// second.
const (
	longest1D = 65536
	longest3D = 128
)

// A LUT1D is the node of that name: a table a channel, or one for all three, with
// linear interpolation. Outside its domain the end values hold, of which the
// specification says nothing.
type LUT1D struct {
	// HalfDomain has an entry for each 16-bit floating-point value, in the order of
	// their bits; without it entries lie evenly over [0,1].
	HalfDomain bool
	Channels   int       // 1 or 3
	Values     []float64 // entry by entry
}

func (t LUT1D) at(entry, channel int) float64 {
	if t.Channels == 1 {
		channel = 0
	}
	return t.Values[entry*t.Channels+channel]
}

func (t LUT1D) run(v [3]float64) [3]float64 {
	for c, x := range v {
		i, next, part := t.place(x)
		low := t.at(i, c)
		v[c] = low
		if part > 0 { // an entry that is met is not mixed with a neighbour, which may be infinite
			v[c] = low + part*(t.at(next, c)-low)
		}
	}
	return v
}

// place returns the entries on both sides of a value, and how far it lies between.
func (t LUT1D) place(x float64) (i, next int, part float64) {
	if t.HalfDomain {
		return halfPlace(x)
	}
	return evenPlace(x, len(t.Values)/t.Channels)
}

// evenPlace is place in n entries over [0,1].
func evenPlace(x float64, n int) (i, next int, part float64) {
	at := min(max(x, 0), 1) * float64(n-1)
	if math.IsNaN(at) {
		at = 0
	}
	i = min(int(at), max(n-2, 0))
	return i, min(i+1, n-1), at - float64(i)
}

// The bits of 16-bit floating-point values (IEEE 754 binary16): sign, 5 of exponent,
// 10 of fraction.
const (
	halfSign     = 0x8000
	largestHalf  = 0x7bff // 65504
	halfInfinity = 0x7c00
)

// half returns the value of bits.
func half(bits uint16) float64 {
	exponent, fraction := int(bits>>10&0x1f), float64(bits&0x3ff)
	var v float64
	switch {
	case exponent == 0x1f && fraction != 0:
		return math.NaN()
	case exponent == 0x1f:
		v = math.Inf(1)
	case exponent == 0:
		v = math.Ldexp(fraction, -24)
	default:
		v = math.Ldexp(1024+fraction, exponent-25)
	}
	if bits&halfSign != 0 {
		return -v
	}
	return v
}

// halfPlace is place in a half domain. Values beyond the largest have its entry.
func halfPlace(x float64) (i, next int, part float64) {
	sign := 0
	if math.Signbit(x) {
		sign = halfSign
	}
	size := math.Abs(x)
	above := sort.Search(largestHalf+1, func(b int) bool { return half(uint16(b)) > size })
	if above == largestHalf+1 {
		return sign + largestHalf, sign + largestHalf, 0
	}
	low, high := half(uint16(above-1)), half(uint16(above))
	return sign + above - 1, sign + above, (size - low) / (high - low)
}

// A LUT3D is the node of that name: a cube of entries over [0,1] in red, green and blue,
// the last changing fastest. Outside, the nearest place on the cube holds, of which the
// specification says nothing.
type LUT3D struct {
	Side        int // entries along each edge
	Tetrahedral bool
	Values      []float64 // entry by entry: red, green, blue
}

// at is an entry, named by its places along red, green and blue.
func (t LUT3D) at(p [3]int) (v [3]float64) {
	i := 3 * ((p[0]*t.Side+p[1])*t.Side + p[2])
	copy(v[:], t.Values[i:i+3])
	return v
}

func (t LUT3D) run(v [3]float64) (out [3]float64) {
	var low, high [3]int
	var part [3]float64
	for c, x := range v {
		low[c], high[c], part[c] = evenPlace(x, t.Side)
	}
	if t.Tetrahedral {
		return t.tetrahedral(low, high, part)
	}
	for corner := range 8 {
		at, weight := low, 1.
		for c := range 3 {
			if corner>>c&1 == 1 {
				at[c], weight = high[c], weight*part[c]
			} else {
				weight *= 1 - part[c]
			}
		}
		for c, e := range t.at(at) {
			out[c] += weight * e
		}
	}
	return out
}

// tetrahedral goes from the low corner to the high one along the axes, that with the
// largest part first: the specification's six cases in one.
func (t LUT3D) tetrahedral(low, high [3]int, part [3]float64) [3]float64 {
	axes := []int{0, 1, 2}
	sort.SliceStable(axes, func(i, j int) bool { return part[axes[i]] > part[axes[j]] })
	at := low
	out, from := t.at(at), t.at(at)
	for _, a := range axes {
		at[a] = high[a]
		to := t.at(at)
		for c := range out {
			out[c] += part[a] * (to[c] - from[c])
		}
		from = to
	}
	return out
}
