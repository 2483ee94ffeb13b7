package selection_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/colour"
	"halocline/selection"
)

func greyishReds(n int) (out []colour.RGB) {
	for i := range n {
		f := float64(i) / float64(n-1)
		out = append(out, colour.RGB{R: 0.5 + 0.3*f, G: 0.3 + 0.1*f, B: 0.25})
	}
	return out
}

func TestIncludeDabKeepsTheMiddleOfADab(t *testing.T) {
	dab := greyishReds(101)
	for _, m := range []selection.Model{selection.HSL, selection.LCh} {
		first := m.At(dab[0])
		p := selection.Pick{Model: m}
		for c := range p.Limits {
			p.Limits[c].Range = selection.Range{From: first[c], To: first[c]}
		}
		wide := selection.IncludeDab(p, dab)
		kept := 0
		for _, c := range dab {
			if wide.Weight(m.At(c)) >= 0.5 {
				kept++
			}
		}
		assert.GreaterOrEqual(t, kept, 85, "%s keeps its middle", m)
		assert.Equal(t, wide, selection.IncludeDab(wide, dab), "%s: what is kept already moves nothing", m)
	}
}

func TestIncludeDabAcrossZeroDegrees(t *testing.T) {
	p := selection.Pick{Model: selection.HSL}
	p.Limits[selection.Hue].Range = selection.Range{From: 350, To: 358}
	p.Limits[selection.Sat].Off, p.Limits[selection.Light].Off = true, true
	red := colour.HSL{H: 8, S: 0.5, L: 0.5}.RGB()
	wide := selection.IncludeDab(p, []colour.RGB{red})
	assert.InDelta(t, 18, wide.Limits[selection.Hue].Span(), 1e-6, "from 350 through 0 to 8")
	assert.InDelta(t, 1, wide.Weight(selection.HSL.At(red)), 1e-9)
}

func TestIncludeDabLeavesWhatIsOffOrInverted(t *testing.T) {
	p := selection.Pick{Model: selection.HSL}
	for c := range p.Limits {
		p.Limits[c].Range = selection.Range{From: 0.1, To: 0.2}
	}
	p.Limits[selection.Hue].Off = true
	p.Limits[selection.Sat].Inverted = true
	wide := selection.IncludeDab(p, greyishReds(9))
	assert.Equal(t, p.Limits[selection.Hue], wide.Limits[selection.Hue])
	assert.Equal(t, p.Limits[selection.Sat], wide.Limits[selection.Sat])
	assert.NotEqual(t, p.Limits[selection.Light], wide.Limits[selection.Light])
	assert.Equal(t, p, selection.IncludeDab(p, nil), "an empty dab moves nothing")
}
