package colour

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestClampedIsItsDefinition(t *testing.T) {
	// IEEE 754-2019, 3.4: sign, 8 bits of exponent, 23 of the fraction.
	assert.Equal(t, float32(1), math.Float32frombits(BitsOfOne))
	assert.Equal(t, float32(math.Inf(1)), math.Float32frombits(BitsOfInfinity))

	rng := rand.New(rand.NewPCG(14, 4))
	all := []uint32{0, 1, 1 << 31, BitsOfOne - 1, BitsOfOne, BitsOfOne + 1, BitsOfInfinity - 1, BitsOfInfinity, BitsOfInfinity + 1, 0xff800000, 0xffffffff}
	for range 100000 {
		all = append(all, rng.Uint32())
	}
	for _, bits := range all {
		v := math.Float32frombits(bits)
		want := float32(0)
		switch {
		case v >= 1:
			want = 1
		case v > 0:
			want = v
		}
		require.Equal(t, math.Float32bits(want), math.Float32bits(Clamped(v)), "%g, bits %#x", v, bits)
	}
}
