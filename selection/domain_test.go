package selection

import (
	"image"
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
		box := image.Rectangle{Min: image.Pt(m.W, m.H)}
		all := true
		for y := range m.H {
			for x := range m.W {
				if m.At(x, y) > 0 {
					box.Min = image.Pt(min(box.Min.X, x), min(box.Min.Y, y))
					box.Max = image.Pt(max(box.Max.X, x+1), y+1)
				} else {
					all = false
				}
			}
		}
		want := domain{masked: true}
		if box.Max.X > 0 {
			want.Box = box
			want.Box.Min = image.Pt(box.Min.X/RegionGrid*RegionGrid, box.Min.Y/RegionGrid*RegionGrid)
		}
		if all {
			full++
		} else if box.Max.X > 0 {
			want.Mask = &m
		}
		require.Equal(t, want, newDomain(&m, &m), i)
	}
	assert.Greater(t, full, 10)
}
