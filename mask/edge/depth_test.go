package edge

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Depths are those of the definition.
func TestDepthsByTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 60 {
		w, h := 1+r.IntN(20), 1+r.IntN(20)
		filled := make([]bool, w*h)
		share := r.Float64()
		for i := range filled {
			filled[i] = r.Float64() < share
		}
		got := make([]float32, w*h)
		signedDepths(got, filled, w, h)
		for i, is := range filled {
			near := math.Inf(1)
			for j, other := range filled {
				if other != is {
					near = min(near, math.Hypot(float64(i%w-j%w), float64(i/w-j/w)))
				}
			}
			want := min(near-0.5, far)
			if !is {
				want = -want
			}
			require.InDelta(t, want, got[i], 1e-3, "%d x %d, pixel %d", w, h, i)
		}
	}
}

// The widest value within reach is that of the definition.
func TestWidestByTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 60 {
		w, h, reach := 1+r.IntN(20), 1+r.IntN(20), r.IntN(8)
		values := make([]float32, w*h)
		for i := range values {
			values[i] = float32(r.IntN(50))
		}
		got := append([]float32(nil), values...)
		widest(got, w, h, reach)
		for i := range values {
			want := float32(0)
			for j, v := range values {
				if abs(i%w-j%w) <= reach && abs(i/w-j/w) <= reach {
					want = max(want, v)
				}
			}
			require.Equal(t, want, got[i])
		}
	}
}

func abs(n int) int { return max(n, -n) }
