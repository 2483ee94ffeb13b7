package follow

import (
	"bytes"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/mask"
)

func TestCarriedOutlinesComeBackFromBytes(t *testing.T) {
	for _, c := range []*Carried{{}, {Breaks: Breaks{Cuts: []int{7, 1 << 40}, Repeats: []int{-3}}}, {Breaks: Breaks{Repeats: []int{12}}, Points: []mask.Point{{X: 1.0 / 3, Y: -2e5}, {X: math.SmallestNonzeroFloat64, Y: 7}, {}}}} {
		got, err := ReadCarried(c.Bytes())
		require.NoError(t, err)
		require.Equal(t, c, got)
	}
	for _, c := range []*Carried{{Points: []mask.Point{{X: math.NaN()}}}, {Points: []mask.Point{{Y: math.Inf(-1)}}}, {Points: []mask.Point{{X: 1e9}}}} {
		_, err := ReadCarried(c.Bytes())
		require.Error(t, err)
	}
	whole := (&Carried{Breaks: Breaks{Cuts: []int{7}}, Points: []mask.Point{{X: 1, Y: 2}}}).Bytes()
	for n := range len(whole) {
		if n == len(whole)-pointBytes {
			continue // without its only point
		}
		_, err := ReadCarried(whole[:n])
		require.Error(t, err, "%d bytes", n)
	}
	_, err := ReadCarried(append(bytes.Repeat([]byte{0xff}, 8), whole...))
	require.Error(t, err, "more frames than bytes")
}
