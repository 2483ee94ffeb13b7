package selection

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestComponentsAreThoseOfFlooding(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	for range 200 {
		w, h := 1+rng.IntN(30), 1+rng.IntN(30)
		in := make([]bool, w*h)
		for i := range in {
			in[i] = rng.IntN(100) < 30+rng.IntN(50)
		}
		label := make([]int32, w*h)
		got := Components(label, in, w, h)
		sets := slowComponents(in, w, h)
		require.Len(t, got, len(sets))
		for k, set := range sets {
			want := Component{Area: len(set), First: set[0], X0: w, Y0: h}
			for _, at := range set {
				x, y := at%w, at/w
				want.X0, want.Y0 = min(want.X0, x), min(want.Y0, y)
				want.X1, want.Y1 = max(want.X1, x+1), max(want.Y1, y+1)
				want.TouchBorder = want.TouchBorder || x == 0 || y == 0 || x == w-1 || y == h-1
				require.EqualValues(t, k, label[at])
			}
			require.Equal(t, want, got[k])
		}
		for i, v := range in {
			require.Equal(t, v, label[i] >= 0)
		}
	}
}

func TestComponentsOfNothing(t *testing.T) {
	require.Empty(t, Components(nil, nil, 0, 0))
	label := []int32{7, 7}
	require.Empty(t, Components(label, make([]bool, 2), 2, 1))
	require.Equal(t, []int32{-1, -1}, label)
}
