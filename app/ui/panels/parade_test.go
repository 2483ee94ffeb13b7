package panels

import (
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/ui/look"
)

// The plots' height stands for what is shown, and for a fifth of the scale at least.
func TestParadeRange(t *testing.T) {
	at := func(v ...float64) (all []trace3) {
		for _, v := range v {
			all = append(all, trace3{v: [3]float64{v, v, v}})
		}
		return all
	}
	for _, tt := range []struct {
		name      string
		sets      [][]trace3
		low, high float64
	}{
		{"nothing", nil, 0, 1},
		{"one value", [][]trace3{at(0.5)}, 0.4, 0.6},
		{"both sets", [][]trace3{at(0.3), at(0.7)}, 0.26, 0.74},
		{"at the ends", [][]trace3{at(0, 1)}, 0, 1},
	} {
		low, high := paradeRange(tt.sets...)
		assert.InDelta(t, tt.low, low, 1e-9, tt.name)
		assert.InDelta(t, tt.high, high, 1e-9, tt.name)
	}
}

// A trace stands in its channel's plot at the height of its value.
func TestParadeIsDrawn(t *testing.T) {
	after := []trace3{{u: 0.5, v: [3]float64{0.4, 0.5, 0.6}}}
	m := drawParade(paradeAxis+2*paradeGap+3*60, 100, 1, nil, after)
	low, high := paradeRange(after)
	for i, v := range after[0].v {
		x, y := paradeAxis+i*(60+paradeGap)+30, int(100*(1-(v-low)/(high-low)))
		assert.NotEqual(t, color.RGBA(look.Plot), m.RGBAAt(x, y), "channel %d", i)
		assert.Equal(t, color.RGBA(look.Plot), m.RGBAAt(x-10, y-5), "channel %d", i)
	}
	assert.Equal(t, [3]float64{0.4, 0.5, 0.6}, meanColour(after))
}
