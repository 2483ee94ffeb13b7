package colour

import (
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCodesComeBack(t *testing.T) {
	for i := range 256 {
		require.Equal(t, uint8(i), Code8(FromCode8(uint8(i))))
		require.InDelta(t, float64(i)/255, float64(FromCode8(uint8(i))), 3e-8)
	}
	for i := range 65536 {
		if got := Code16(FromCode16(uint16(i))); got != uint16(i) {
			t.Fatalf("code %d comes back as %d", i, got)
		}
	}
	// The PNG specification's exact widening, section 12.5: 8 bits times 257.
	for i := range 256 {
		require.Equal(t, uint16(i*257), Code16(FromCode8(uint8(i))))
	}
}

func TestCodesRoundHalfUpAndClamp(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for v, want := range map[float32]uint8{0.5: 128, 0.25: 64, -1: 0, -0.001: 0, 1.001: 255, 7: 255, inf: 255, -inf: 0,
		127.49 / 255: 127, 127.51 / 255: 128, 0.4 / 255: 0, 254.6 / 255: 255} {
		assert.Equal(t, want, Code8(v), "%v", v)
	}
	for v, want := range map[float32]uint16{0.5: 32768, 0.25: 16384, -1: 0, 2: 65535, inf: 65535, -inf: 0} {
		assert.Equal(t, want, Code16(v), "%v", v)
	}
	assert.Zero(t, Code8(nan))
	assert.Zero(t, Code16(nan))
	// Every float32 near the middle between two codes falls to the side the exact product says.
	for i := range 255 {
		v := float32((float64(i) + 0.5) / 255)
		for _, near := range []float32{math.Nextafter32(v, 0), v, math.Nextafter32(v, 1)} {
			require.Equal(t, uint8(math.Floor(float64(near)*255+0.5)), Code8(near))
		}
	}
}

func TestRows(t *testing.T) {
	src := []float32{0, 0.2, 0.5, 1, 2}
	eight, be := make([]uint8, 5), make([]uint8, 10)
	Codes8(eight, src)
	Codes16BE(be, src)
	assert.Equal(t, []uint8{0, 51, 128, 255, 255}, eight)
	assert.Equal(t, []uint8{0, 0, 51, 51, 128, 0, 255, 255, 255, 255}, be)
}

func TestViews(t *testing.T) {
	m := NewImage(3, 2)
	m.R.Pix[4], m.G.Pix[4], m.B.Pix[4] = 1, 0.5, -3
	view := m.RGBA(nil)
	assert.Equal(t, color.RGBA{255, 128, 0, 255}, view.RGBAAt(1, 1))
	assert.Equal(t, color.RGBA{0, 0, 0, 255}, view.RGBAAt(0, 0))
	assert.Same(t, &view.Pix[0], &NewImage(2, 2).RGBA(view).Pix[0], "memory is reused")
	assert.Equal(t, 2, view.Bounds().Dx())

	alpha := NewPlane(3, 2)
	alpha.Pix[4] = 0.2
	assert.Equal(t, color.Gray{51}, alpha.Gray(nil).GrayAt(1, 1))
	assert.NotPanics(t, func() { NewImage(0, 0).RGBA(nil) })
}
