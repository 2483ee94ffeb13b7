package colour

import "math"

// Bits of 1 and of +Inf. Numbers from 0 on are in the order of their bits; what
// is not a number has larger ones than +Inf.
const (
	BitsOfOne      = 0x3f800000
	BitsOfInfinity = 0x7f800000
)

// Clamped returns v clamped to [0,1]; what is not a number is 0. It works on bits,
// because in the noise of a matte's edge no branch is foreseen.
func Clamped(v float32) float32 {
	b := int32(math.Float32bits(v))
	b &^= (b | (BitsOfInfinity - b)) >> 31 // negative, or not a number
	return math.Float32frombits(uint32(min(b, BitsOfOne)))
}
