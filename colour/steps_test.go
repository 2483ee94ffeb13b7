package colour

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// The formula as Steps' comment writes it is the base.
func TestStepsAreTheFormula(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	for i := range 200 {
		b := Base{
			Input: Transfer(i % len(transferNames)),
			Gains: [3]float64{0.5 + 2*rng.Float64(), 0.5 + 2*rng.Float64(), 0.5 + 2*rng.Float64()},
			Veil:  [3]float64{0.1 * rng.Float64(), 0.2 * rng.Float64(), 0.3 * rng.Float64()},
			Beta:  [3]float64{0.4 * rng.Float64(), 0.1 * rng.Float64(), 0.1 * rng.Float64()},
			Path:  10 * rng.Float64(), Exposure: 2*rng.Float64() - 1, Contrast: 0.5 + rng.Float64(), Pivot: 0.1 + 0.2*rng.Float64(),
		}
		if i%3 == 0 {
			b.Black = [3]float64{0.05 * rng.Float64(), 0.1 * rng.Float64(), 0.1 * rng.Float64()}
		}
		s := b.Steps()
		in := RGB{rng.Float64(), rng.Float64(), rng.Float64()}
		var want [3]float64
		for c, v := range in.parts() {
			x := max(0, (b.Input.Light(v)-s.Haze[c])*s.Scale[c])
			y := min(s.White, b.Pivot*math.Pow(x/b.Pivot, b.Contrast))
			if d := y - s.ShoulderFrom; d > 0 {
				y = s.ShoulderFrom + d/(1+s.Bend*d)
			}
			want[c] = min(1, Encoded(y))
		}
		requireNear(t, want, b.Colour(in).parts(), 1e-12, "%+v of %v", b, in)
	}
	s := Neutral().Steps()
	require.InDelta(t, 0, s.Bend, 1e-15)
	s.Bend = 0
	require.Equal(t, Steps{Scale: [3]float64{1, 1, 1}, White: 1, ShoulderFrom: 0.8}, s)
}
