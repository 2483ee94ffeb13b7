package colour

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTablesFollowTheirCurves(t *testing.T) {
	const n = 200_000
	encoded, light := make([]float32, n), make([]float64, n)
	for i := range encoded {
		encoded[i] = -0.05 + 1.2*float32(i)/n
	}
	linearRow(light, encoded)
	var linear, lab float64
	for i, v := range encoded {
		linear = max(linear, math.Abs(light[i]-Linear(float64(v))))
		f := 2.2*float64(i)/n - 0.05
		lab = max(lab, math.Abs(anyLabArc(f)-labCurve(f)))
	}
	t.Logf("light %.2g, CIELAB function %.2g", linear, lab)
	assert.LessOrEqual(t, linear, 3e-9)
	assert.LessOrEqual(t, lab, 1.3e-8)
}

// No table entry lies so near the middle between two grains that a difference
// in the last bits of math.Pow, Cbrt or Exp could tip it to the other.
func TestTablesAreTheSameEverywhere(t *testing.T) {
	safe := func(v float64) {
		t.Helper()
		scaled := v / tableGrain
		fromMiddle := math.Abs(scaled - math.Floor(scaled) - 0.5)
		require.Greater(t, fromMiddle*tableGrain, 8e-16*max(v, 0.25), "entry %v", v)
	}
	for i := 2 * linearFrom; i <= 2*linearCells; i++ {
		safe(Linear(float64(i) / (2 * linearCells)))
	}
	for dy := range smoothSpatial {
		for dx := range smoothReach + 1 {
			safe(math.Exp(-float64(dx*dx+dy*dy) / (2 * smoothSigma * smoothSigma)))
		}
	}
	for i := range smoothCells - 1 {
		safe(math.Exp(1 - float64(smoothCellMiddle(i))))
	}
	for i := range 2 * len(labArcs) {
		safe(math.Cbrt(math.Float64frombits(uint64(i+2*labFirst) << (52 - labCellBits - 1))))
	}
}
