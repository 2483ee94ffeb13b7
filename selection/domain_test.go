package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// A domain's box is that of the samples above 0, by single look-ups.
func TestDomainIsTheBoxOfWhatTakesPart(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 2))
	none := []float32{0, float32(math.Copysign(0, -1)), -1, float32(math.NaN()), float32(math.Inf(-1))}
	full := 0
	for i := range 300 {
		m := colour.NewPlane(1+rng.IntN(200), 1+rng.IntN(100))
		for k := range m.Pix {
			m.Pix[k] = none[rng.IntN(len(none))]
			if i%5 == 0 {
				m.Pix[k] = 0.5
			}
		}
		for range rng.IntN(6) {
			m.Pix[rng.IntN(len(m.Pix))] = math.SmallestNonzeroFloat32
		}
		if i%10 == 0 {
			m.Pix[rng.IntN(len(m.Pix))] = 0
		}
		want := domain{masked: true, x0: m.W, y0: m.H}
		all := true
		for y := range m.H {
			for x := range m.W {
				if m.At(x, y) > 0 {
					want.x0, want.x1 = min(want.x0, x), max(want.x1, x+1)
					want.y0, want.y1 = min(want.y0, y), y+1
				} else {
					all = false
				}
			}
		}
		if want.x1 == 0 {
			want = domain{masked: true}
		} else if all {
			full++
		} else {
			want.mask = &m
		}
		want.x0, want.y0 = want.x0/RegionGrid*RegionGrid, want.y0/RegionGrid*RegionGrid
		require.Equal(t, want, newDomain(&m, &m), i)
	}
	assert.Greater(t, full, 10)
}
