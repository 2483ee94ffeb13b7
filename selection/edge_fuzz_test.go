package selection

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// FuzzEdge treats pictures of any bits by any settings: no crash, results in
// [0,1], what takes no part kept, and the same bits for three workers and with
// used buffers.
func FuzzEdge(f *testing.F) {
	f.Add(7, 5, []byte{0, 0, 128, 63, 0, 0, 0, 63}, 12., 3., 0.4, 0.5, 1.5, 1.3, 1., true)
	f.Add(40, 1, []byte{0, 0, 192, 127, 1, 2, 3, 4, 5}, 2.5, 20., 0.99, 0.1, -7.5, 9., 0.5, false)
	f.Add(1, 70, []byte{255, 255, 255, 255, 0, 0, 128, 255}, 1e9, 999., 0., 0.5, 1000., 700., 3., true)
	f.Add(65, 66, []byte{0, 0, 128, 63, 0, 0, 0, 0, 0}, 5., 0.01, 0.2, 0.5, -0.3, 4., 1., true)
	kept := new(Treatment)
	f.Fuzz(func(t *testing.T, w, h int, bits []byte, despeckle, align, harden, about, grow, soften, factor float64, masked bool) {
		w, h = int(uint(w)%90), int(uint(h)%90)
		if !(factor > 1e-3) || factor > 1e3 || len(bits) == 0 {
			return
		}
		next := 0
		plane := func() colour.Plane {
			p := colour.NewPlane(w, h)
			for i := range p.Pix {
				var four [4]byte
				for k := range four {
					four[k] = bits[(next+next/977)%len(bits)] // no short period
					next++
				}
				p.Pix[i] = math.Float32frombits(binary.LittleEndian.Uint32(four[:]))
			}
			return p
		}
		src, guide := plane(), &colour.Image{R: plane(), G: plane(), B: plane()}
		var mask *colour.Plane
		if masked {
			m := plane()
			mask = &m
		}
		e := Edge{despeckle, align, harden, about, grow, soften}
		var once, again colour.Plane
		require.NoError(t, new(Treatment).Apply(t.Context(), &once, &src, guide, mask, e, factor, 1))
		require.NoError(t, kept.Apply(t.Context(), &again, &src, guide, mask, e, factor, 3))
		requireSameBits(t, once, again, "%+v", e)
		require.GreaterOrEqual(t, e.Reach(factor), 0)
		n := e.Scaled(factor)
		for i, v := range once.Pix {
			if !(v >= 0 && v <= 1) {
				t.Fatalf("%+v: %g at %d", e, v, i)
			}
			if mask != nil && !(mask.Pix[i] > 0) && !(n.Harden != 0 || n.About != 0.5) && v != colour.Clamped(src.Pix[i]) {
				t.Fatalf("%+v: %g at %d, where nothing takes part, was %g", e, v, i, src.Pix[i])
			}
		}
	})
}
