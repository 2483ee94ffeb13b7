package selection

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"halocline/testdata"
)

// iris returns the measurements of each species.
func iris(t *testing.T) map[string][][]float64 {
	species := map[string][][]float64{}
	for _, row := range testdata.Table(t, "iris.csv") {
		v := row.Numbers("sepal_length", "sepal_width", "petal_length", "petal_width")
		species[row.Text("species")] = append(species[row.Text("species")], v)
	}
	require.Len(t, species, 3)
	return species
}

func ones(n int) []float64 {
	w := make([]float64, n)
	floats.AddConst(1, w)
	return w
}

// R. A. Fisher 1936, Annals of Eugenics 7(2):179-188.
func TestDiscriminantsOfIris(t *testing.T) {
	species := iris(t)
	for _, row := range testdata.Table(t, "iris_discriminants.csv") {
		v := row.Numbers("w1", "w2", "w3", "w4", "D2", "cut", "errors_first", "errors_second")
		first, second := species[row.Text("first")], species[row.Text("second")]
		drop, keep := newScatter(first, ones(50)), newScatter(second, ones(50))
		p, err := fisher(keep, drop, 98)
		require.NoError(t, err)
		for i, w := range v[:4] {
			assert.InEpsilon(t, w, p.Normal[i], 1e-9, "%v, component %d", row, i)
		}
		assert.InEpsilon(t, v[4], p.Gap, 1e-9, "D2 of %v", row)
		assert.InEpsilon(t, v[5], p.Middle, 1e-9, "cut of %v", row)
		wrong := [2]float64{}
		for i := range 50 {
			if p.Score(first[i]) > 0 {
				wrong[0]++
			}
			if p.Score(second[i]) < 0 {
				wrong[1]++
			}
		}
		assert.Equal(t, [2]float64(v[6:8]), wrong, "specimens on the wrong side, %v", row)
		assert.InDelta(t, 0.5, p.Score(keep.mean), 1e-9)
		assert.InDelta(t, -0.5, p.Score(drop.mean), 1e-9)
	}
}

// Fisher's compound of setosa and versicolor as printed in 1936 (from memory):
// x1 + 5.9037 x2 - 7.1299 x3 - 10.1036 x4.
func TestCompoundOfFisher(t *testing.T) {
	species := iris(t)
	p, err := fisher(newScatter(species["setosa"], ones(50)), newScatter(species["versicolor"], ones(50)), 98)
	require.NoError(t, err)
	for i, want := range []float64{1, 5.9037, -7.1299, -10.1036} {
		assert.InDelta(t, want, p.Normal[i]/p.Normal[0], 2e-4)
	}
}

// N. Otsu 1979: on every cut the variance within the classes and that between
// them are the whole; the best cut has the least within.
func TestVariancesOfOtsu(t *testing.T) {
	histogram := []float64{8, 7, 2, 6, 9, 4}
	total := 36.0
	scatterOf := func(from, to int) (scatter, float64) {
		var vectors [][]float64
		for level := from; level < to; level++ {
			vectors = append(vectors, []float64{float64(level)})
		}
		s := newScatter(vectors, histogram[from:to])
		return s, s.spread.At(0, 0) / s.weight
	}
	whole, variance := scatterOf(0, 6)
	best, least := 0.0, variance
	for _, row := range testdata.Table(t, "otsu.csv") {
		v := row.Numbers("t", "w_bg", "mean_bg", "var_bg", "w_fg", "mean_fg", "var_fg", "within_var", "between_var")
		cut := int(v[0])
		if cut == 0 {
			assert.InDelta(t, v[7], variance, 1e-9)
			continue
		}
		low, varLow := scatterOf(0, cut)
		high, varHigh := scatterOf(cut, 6)
		for i, got := range []float64{low.weight / total, low.mean[0], varLow, high.weight / total, high.mean[0], varHigh} {
			assert.InDelta(t, v[1+i], got, 1e-9, "cut %d, column %d", cut, 1+i)
		}
		within := (low.spread.At(0, 0) + high.spread.At(0, 0)) / total
		between := low.weight/total*square(low.mean[0]-whole.mean[0]) + high.weight/total*square(high.mean[0]-whole.mean[0])
		assert.InDelta(t, v[7], within, 1e-9, "within, cut %d", cut)
		assert.InDelta(t, v[8], between, 1e-9, "between, cut %d", cut)
		assert.InDelta(t, variance, within+between, 1e-9)
		if within < least {
			best, least = v[0], within
		}
	}
	assert.Equal(t, 3.0, best)
}

// Within and between add up in any number of dimensions.
func TestScattersJoin(t *testing.T) {
	species := iris(t)
	var all [][]float64
	var parts []scatter
	for _, name := range []string{"setosa", "versicolor", "virginica"} {
		all = append(all, species[name]...)
		parts = append(parts, newScatter(species[name], ones(50)))
	}
	want, got := newScatter(all, ones(150)), joined(parts)
	assert.InDelta(t, want.weight, got.weight, 1e-9)
	assert.InDeltaSlice(t, want.mean, got.mean, 1e-12)
	assert.InDeltaSlice(t, want.spread.RawSymmetric().Data, got.spread.RawSymmetric().Data, 1e-9)
}

func square(v float64) float64 { return v * v }

func TestFlatSamplesHaveNoPlane(t *testing.T) {
	line := [][]float64{{0, 0, 1}, {1, 0, 1}, {2, 0, 1}}
	_, err := fisher(newScatter(line, ones(3)), newScatter(line, ones(3)), 4)
	require.ErrorIs(t, err, errFlat)
	assert.Equal(t, 0.0, Plane{Normal: []float64{1, 2, 3}}.Score([]float64{4, 5, 6}), "equal means separate nothing")
}
