package edge

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzCut compares the cut with that of the plain algorithm on small networks.
func FuzzCut(f *testing.F) {
	f.Add(uint64(1), uint8(4), uint8(5), int32(20))
	f.Add(uint64(2), uint8(9), uint8(1), int32(1))
	f.Add(uint64(3), uint8(7), uint8(7), int32(30000))
	var g network
	f.Fuzz(func(t *testing.T, seed uint64, w, h uint8, most int32) {
		w, h, most = 1+w%9, 1+h%9, 1+(most&0x7fffffff)%maxRoom
		_, want := randomNetwork(&g, rand.New(rand.NewPCG(seed, 9)), int(w), int(h), most)
		require.NoError(t, g.cut(t.Context()))
		for i, in := range want {
			require.Equal(t, in, g.isInside(g.index(i%int(w), i/int(w))))
		}
	})
}
