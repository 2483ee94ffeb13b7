package selection

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// areaUnder is the area under a curve by the trapezoid rule.
func areaUnder(curve []ROCPoint) (area float64) {
	for i := 1; i < len(curve); i++ {
		area += (curve[i].Caught - curve[i-1].Caught) * (curve[i].Kept + curve[i-1].Kept) / 2
	}
	return area
}

// Hanley & McNeil 1982, Table I, one dab for all images of a kind: the rates at
// which ratings from k on are called abnormal.
func TestCurveOfHanleyAndMcNeil(t *testing.T) {
	var keep, drop []float32
	var want []ROCPoint
	var normal, abnormal float64
	for _, row := range testdata.Table(t, "hanley_mcneil.csv") {
		v := row.Numbers("rating", "n_normal", "n_abnormal")
		for range int(v[1]) {
			drop = append(drop, float32(v[0]))
		}
		for range int(v[2]) {
			keep = append(keep, float32(v[0]))
		}
		normal, abnormal = normal+v[1], abnormal+v[2]
		want = append(want, ROCPoint{v[0], abnormal / 51, normal / 58})
	}
	curve := roc([][]float32{keep}, [][]float32{drop})
	require.Len(t, curve, 6)
	assert.Zero(t, curve[0].Kept+curve[0].Caught, "it begins with nothing kept")
	for i, p := range want { // 0.0345 and 0.6471, 0.2241 and 0.8627, ...
		assert.InDelta(t, p.Caught, curve[i+1].Caught, 1e-12)
		assert.InDelta(t, p.Kept, curve[i+1].Kept, 1e-12)
		assert.Equal(t, p.Weight, curve[i+1].Weight)
	}
	assert.InDelta(t, 0.893, areaUnder(curve), 0.0005)
}

func roc(keep, drop [][]float32) []ROCPoint { return rocOf(weightsOf(keep), weightsOf(drop)) }

// slowROC takes every weight as a threshold.
func slowROC(keep, drop [][]float32) (curve []ROCPoint) {
	var all []float32
	for _, dab := range append(slices.Clone(keep), drop...) {
		all = append(all, dab...)
	}
	slices.Sort(all)
	share := func(dabs [][]float32, at float32) (sum float64) {
		for _, dab := range dabs {
			over := 0
			for _, v := range dab {
				if v >= at {
					over++
				}
			}
			sum += float64(over) / float64(len(dab)) / float64(len(dabs))
		}
		return sum
	}
	all = slices.Compact(all)
	for _, at := range slices.Backward(all) {
		curve = append(curve, ROCPoint{float64(at), share(keep, at), share(drop, at)})
	}
	return curve
}

func TestCurvesAgainstTheirDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	for range 60 {
		draw := func(shift float64) (dabs [][]float32) {
			for range 1 + rng.IntN(4) {
				dab := make([]float32, 1+rng.IntN(30))
				for i := range dab {
					dab[i] = float32(rng.IntN(12))/12 + float32(shift)*float32(rng.IntN(2))
				}
				dabs = append(dabs, dab)
			}
			return dabs
		}
		keep, drop := draw(0.5), draw(0)
		curve, want := roc(keep, drop), slowROC(keep, drop)
		require.Len(t, curve, len(want)+1)
		for i, p := range want {
			assert.Equal(t, p.Weight, curve[i+1].Weight)
			assert.InDelta(t, p.Kept, curve[i+1].Kept, 1e-12)
			assert.InDelta(t, p.Caught, curve[i+1].Caught, 1e-12)
		}
		assert.InDelta(t, AUC(keep, drop), areaUnder(curve), 1e-12)
		assert.InDelta(t, AUC(keep, drop), areaUnder(thinned(curve)), curveSpacing)
	}
	assert.Nil(t, roc(nil, [][]float32{{1}}))
	assert.Nil(t, roc([][]float32{{1}}, [][]float32{{}}))
}

// The curves of a separation are those that its figures are the areas under.
func TestSeparationHasItsCurves(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	var dabs []Dab
	for i := range 6 {
		d := Dab{Keep: i%2 == 0}
		for range 150 {
			v := 0.5 + 0.12*rng.NormFloat64()
			if d.Keep {
				v += 0.1
			}
			d.Colours = append(d.Colours, colour.RGB{R: v, G: 0.9 * v, B: 0.6 + 0.05*rng.NormFloat64()})
		}
		dabs = append(dabs, d)
	}
	p := Pick{Model: LCh}
	p.Limits[Light] = Limit{Range: Range{From: 40, To: 70, Before: 20, After: 20}}
	p.Limits[Hue].Off, p.Limits[Sat].Off = true, true
	s, err := MeasureSeparation(dabs, p)
	require.NoError(t, err)
	all := append(s.Channels[:], s.Pick, s.Plane)
	for i, one := range all {
		assert.InDelta(t, one.Set.Value, areaUnder(one.SetCurve), curveSpacing, i)
		assert.InDelta(t, one.Could.Value, areaUnder(one.CouldCurve), curveSpacing, i)
		assert.LessOrEqual(t, len(one.SetCurve), 600)
		for j := 1; j < len(one.CouldCurve); j++ {
			assert.GreaterOrEqual(t, one.CouldCurve[j].Kept, one.CouldCurve[j-1].Kept)
			assert.GreaterOrEqual(t, one.CouldCurve[j].Caught, one.CouldCurve[j-1].Caught)
		}
	}
}
