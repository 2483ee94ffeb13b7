package colour

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A change of one channel alone is in its part alone, with its sign. The weights are those of
// CIE 142-2001 for greys at L* = 50 (SL = 1) and for a mean chroma C (SC = 1 + 0.045 C); a* is
// hardly stretched where the chroma is 50 or more.
func TestPartsOfADifference(t *testing.T) {
	lighter := Lab{L: 48}.Difference(Lab{L: 52})
	assert.InDelta(t, 4, lighter.Lightness, 1e-9)
	assert.Zero(t, lighter.Chroma)
	assert.Zero(t, lighter.Hue)
	assert.InDelta(t, 4, lighter.Total, 1e-9)

	paler := LCh{L: 50, C: 62, H: 90}.Lab().Difference(LCh{L: 50, C: 58, H: 90}.Lab())
	assert.InDelta(t, -4/(1+0.045*60), paler.Chroma, 1e-6)
	assert.InDelta(t, 0, paler.Hue, 1e-9)
	assert.Zero(t, paler.Lightness)

	turned := LCh{L: 50, C: 60, H: 85}.Lab().Difference(LCh{L: 50, C: 60, H: 95}.Lab())
	assert.Greater(t, turned.Hue, 4.0)
	assert.InDelta(t, 0, turned.Chroma, 0.01)
	back := LCh{L: 50, C: 60, H: 95}.Lab().Difference(LCh{L: 50, C: 60, H: 85}.Lab())
	assert.InDelta(t, -turned.Hue, back.Hue, 1e-9)

	c, d := LCh{L: 40, C: 30, H: 60}.Lab(), LCh{L: 55, C: 45, H: 80}.Lab()
	all := c.Difference(d)
	assert.InDelta(t, math.Sqrt(all.Lightness*all.Lightness+all.Chroma*all.Chroma+all.Hue*all.Hue), all.Total, 1e-3, "far from blue they add up as squares")
	assert.Equal(t, all.Total, c.DeltaE(d))
}
