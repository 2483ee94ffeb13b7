package field

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/selection"
)

func TestWindowOpensAboutThePick(t *testing.T) {
	for _, tt := range []struct {
		limit selection.Limit
		want  hueWindow
	}{
		{selection.Limit{Range: selection.Range{From: 14, To: 28}}, hueWindow{21, 210}},
		{selection.Limit{Range: selection.Range{From: 346, To: 22}}, hueWindow{4, 210}},
		{selection.Limit{Range: selection.Range{From: 100, To: 340}}, hueWindow{220, 264}},
		{selection.Limit{Range: selection.Range{To: 360}}, hueWindow{180, 360}},
		{selection.Limit{Range: selection.Range{From: 3, To: 4}, Off: true}, hueWindow{180, 360}},
	} {
		got := opened(tt.limit)
		assert.InDelta(t, tt.want.centre, got.centre, 1e-9)
		assert.InDelta(t, tt.want.width, got.width, 1e-9)
	}
}

func TestZoomHoldsTheHueAtThePointer(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 3))
	w := hueWindow{21, 210}
	for range 2000 {
		share, factor := r.Float64(), 0.5+r.Float64()
		z := w.zoomed(share, factor)
		assert.InDelta(t, 0, arc(w.at(share), z.at(share)), 1e-9)
		assert.GreaterOrEqual(t, z.width, 30.0)
		assert.LessOrEqual(t, z.width, 420.0)
		w = z
	}
}

func TestHueTicks(t *testing.T) {
	var hues []float64
	for _, k := range (hueWindow{22, 210}).ticks(228, 30) { // the opening window at the narrowest column
		hues = append(hues, k.value)
	}
	assert.Equal(t, []float64{300, 330, 0, 30, 60, 90, 120}, hues)
	assert.Equal(t, []float64{0.5}, (hueWindow{0, 210}).zeros())
	assert.Len(t, (hueWindow{180, 420}).zeros(), 2)
}

func TestUpTicks(t *testing.T) {
	var values []float64
	for _, k := range upTicks(1, 180, 26) {
		values = append(values, k.value)
	}
	assert.InDeltaSlice(t, []float64{0.2, 0.4, 0.6, 0.8}, values, 1e-9)
	values = nil
	for _, k := range upTicks(60, 180, 26) {
		values = append(values, k.value)
	}
	assert.Equal(t, []float64{10, 20, 30, 40, 50}, values)
}
