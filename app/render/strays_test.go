package render

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// discsAndSpecks is a mask picture of 3 discs of radius 12, 441 pixels each, and single
// white pixels two apart.
func discsAndSpecks(specks int) colour.Plane {
	m := colour.NewPlane(320, 200)
	for y := range m.H {
		for x := range m.W {
			for _, cx := range []int{40, 100, 160} {
				if math.Hypot(float64(x-cx), float64(y-40)) <= 12 {
					m.Row(y)[x] = 1
				}
			}
		}
	}
	for i := range specks {
		m.Row(80 + 2*(i/150))[2*(i%150)] = 1
	}
	return m
}

func TestFewSpecksAreLeftOut(t *testing.T) {
	areas, strays := Areas(discsAndSpecks(0))
	require.Len(t, areas, 3)
	require.Zero(t, strays)
	all := 3 * len(areas[0].Pixels)

	atMost := all / 9 // a tenth of all pixels, specks included
	with, strays := Areas(discsAndSpecks(atMost))
	require.Equal(t, areas, with)
	require.Equal(t, Strays{Areas: atMost, Pixels: atMost}, strays)
}

func TestManySpecksAreOneArea(t *testing.T) {
	clean, _ := Areas(discsAndSpecks(0))
	n := 3*len(clean[0].Pixels)/9 + 1
	areas, strays := Areas(discsAndSpecks(n))
	require.Equal(t, Strays{Areas: n, Pixels: n, Pooled: true}, strays)
	require.Len(t, areas, 4)
	require.Equal(t, clean, areas[:3])
	pool := areas[3]
	require.Len(t, pool.Pixels, n)
	require.IsIncreasing(t, pool.Pixels)
	require.False(t, pool.IsADisc, "no dab can stand for places all over the picture")
}

// A mask picture of specks alone: a few were set by hand, many are not dabs of their own.
func TestSpecksAlone(t *testing.T) {
	specks := func(n int) colour.Plane {
		m := colour.NewPlane(320, 200)
		for i := range n {
			m.Row(2 * (i / 150))[2*(i%150)] = 1
		}
		return m
	}
	areas, strays := Areas(specks(setByHand))
	require.Len(t, areas, setByHand)
	require.Zero(t, strays)
	require.True(t, areas[0].IsADisc)

	areas, strays = Areas(specks(2700))
	require.Len(t, areas, 1)
	require.Equal(t, Strays{Areas: 2700, Pixels: 2700, Pooled: true}, strays)
}

// A part is a speck by its own size: the squares that a wide part is cut in may be as
// small as they come out.
func TestSquaresOfAWidePartAreNoSpecks(t *testing.T) {
	m := colour.NewPlane(320, 200)
	for y := range 66 {
		for x := range 66 {
			m.Row(y)[x] = 1
		}
	}
	areas, strays := Areas(m)
	require.Zero(t, strays)
	require.Len(t, areas, 9)
	require.Len(t, areas[8].Pixels, 4)
}

func TestNoSpecksInAnEmptyMask(t *testing.T) {
	areas, strays := Areas(colour.NewPlane(8, 8))
	require.Empty(t, areas)
	require.Zero(t, strays)
}
