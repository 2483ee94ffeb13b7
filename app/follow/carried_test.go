package follow

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/mask"
)

func TestCarriedOutlinesComeBackFromBytes(t *testing.T) {
	for _, c := range []*Carried{{}, {Points: []mask.Point{{X: 1.0 / 3, Y: -2e5}, {X: math.SmallestNonzeroFloat64, Y: 7}, {}}}} {
		got, err := ReadCarried(c.Bytes())
		require.NoError(t, err)
		require.Equal(t, c, got)
	}
	for _, c := range []*Carried{{Points: []mask.Point{{X: math.NaN()}}}, {Points: []mask.Point{{Y: math.Inf(-1)}}}, {Points: []mask.Point{{X: 1e9}}}} {
		_, err := ReadCarried(c.Bytes())
		require.Error(t, err)
	}
	_, err := ReadCarried(make([]byte, 17))
	require.Error(t, err)
}
