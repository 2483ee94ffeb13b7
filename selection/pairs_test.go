package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Squares of two pixels go their own way to the same bits.
func TestPairsAreSquares(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	some := func(n int) []float32 {
		out := make([]float32, n)
		for i := range out {
			if rng.IntN(3) > 0 {
				out[i] = rng.Float32()
			}
		}
		return out
	}
	for range 200 {
		n := 1 + rng.IntN(40)
		weight, row := some(6), some(2*n+4)
		got := make([]float32, 2*n)
		gatherPairs(got[:n], row, weight)
		for x := range n {
			sum := float32(0)
			for i, v := range row[2*x:][:6] {
				sum += float32(weight[i] * v)
			}
			require.Equal(t, math.Float32bits(sum), math.Float32bits(got[x]), "square %d of %d", x, n)
		}
		squares := row[:n+2]
		widen(got, squares, weight)
		for x, v := range got {
			i, w := x/2, weight[x%2:]
			want := float32(squares[i]*w[4]) + float32(squares[i+1]*w[2]) + float32(squares[i+2]*w[0])
			require.Equal(t, math.Float32bits(want), math.Float32bits(v), "pixel %d of %d", x, 2*n)
		}
	}
}
