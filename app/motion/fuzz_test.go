package motion

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// FuzzBetween: whatever finite luma comes, the motion is finite and inside the reach of
// the search.
func FuzzBetween(f *testing.F) {
	f.Add(uint8(16), uint8(16), []byte{0, 255, 7}, float32(1))
	f.Add(uint8(1), uint8(50), []byte{9}, float32(1e30))
	f.Add(uint8(90), uint8(40), []byte{1, 2, 3, 4, 5, 200, 90}, float32(-3e38))
	f.Fuzz(func(t *testing.T, w, h uint8, data []byte, scale float32) {
		if math.IsNaN(float64(scale)) || math.IsInf(float64(scale), 0) || len(data) == 0 {
			return
		}
		from, to := colour.NewPlane(int(w%96)+1, int(h%96)+1), colour.NewPlane(int(w%96)+1, int(h%96)+1)
		for i := range from.Pix {
			from.Pix[i] = scale * (float32(data[i%len(data)]) / 255)
			to.Pix[i] = scale * (float32(data[(i*7+3)%len(data)]) / 255)
		}
		p, err := NewPicture(t.Context(), from, 1)
		if err != nil { // sums of the largest numbers are not finite
			require.ErrorIs(t, err, errNotFinite)
			return
		}
		q, err := NewPicture(t.Context(), to, 1)
		if err != nil {
			return
		}
		flow, err := Between(t.Context(), p, q, 1)
		require.NoError(t, err)
		for i := range flow.u {
			require.False(t, math.IsNaN(float64(flow.u[i]+flow.v[i])), "node %d", i)
			require.Less(t, math.Hypot(float64(flow.u[i]), float64(flow.v[i])), 1000.0)
		}
	})
}
