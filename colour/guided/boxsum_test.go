package guided

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

// The 3 x 3 mean of the reference, clipped at the border, is what the sums give.
func TestBoxSumsAgainstTheReference(t *testing.T) {
	picture := make([][]uint32, 8)
	for _, row := range testdata.Table(t, "grey_morphology.csv") {
		if row.Text("operation") == "input" {
			y := int(row.Number("row"))
			for _, v := range row.NumbersFrom("c0") {
				picture[y] = append(picture[y], uint32(v))
			}
		}
	}
	var b boxer
	b.reset(2, 8, 8, 0, 1.5)
	for _, row := range testdata.Table(t, "box_filter.csv") {
		sums := b.next(func(y int, into [][]uint32) {
			copy(into[0], picture[y])
			for x := range into[1] {
				into[1][x] = 1
			}
		})
		for x, want := range row.NumbersFrom("c0") {
			assert.InDelta(t, want, float64(sums[0][x])/float64(sums[1][x]), 1e-9)
		}
	}
}

// Sums are those of the definition wherever the walk starts, whole or not.
func TestBoxSumsAreTheirDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 3))
	for range 60 {
		w, h, start := 1+rng.IntN(30), 1+rng.IntN(30), 0
		start = rng.IntN(h)
		sixtyFourths := 32 + rng.IntN(64*12)
		rows := make([][]uint32, h)
		for y := range rows {
			for range w {
				rows[y] = append(rows[y], rng.Uint32())
			}
		}
		var b boxer
		b.reset(1, w, h, start, float64(sixtyFourths)/64)
		for y := start; y < h; y++ {
			sums := b.next(func(y int, into [][]uint32) { copy(into[0], rows[y]) })
			for x, got := range sums[0] {
				want := uint64(0)
				for py := range h {
					for px := range w {
						weight := func(d int) uint64 { return uint64(min(max(sixtyFourths+32-64*max(d, -d), 0), 64)) }
						want += weight(px-x) * weight(py-y) * uint64(rows[py][px])
					}
				}
				require.Equal(t, want, got*(64*64)/(b.unit*b.unit), "%dx%d from %d, half %d/64, at (%d,%d)", w, h, start, sixtyFourths, x, y)
			}
		}
	}
}
