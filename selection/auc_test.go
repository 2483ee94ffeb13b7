package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

// slowAUC asks every pair.
func slowAUC(keep, drop []weighted) float64 {
	won, pairs := 0.0, 0.0
	for _, k := range keep {
		for _, d := range drop {
			pairs += k.count * d.count
			switch {
			case k.value > d.value:
				won += k.count * d.count
			case k.value == d.value:
				won += k.count * d.count / 2
			}
		}
	}
	return won / pairs
}

func TestAUCAsksEveryPair(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 4))
	random := func() []weighted {
		out := make([]weighted, 1+rng.IntN(40))
		for i := range out {
			out[i] = weighted{value: float64(rng.IntN(12)), count: 1 + float64(rng.IntN(5))}
		}
		return out
	}
	for range 3000 {
		keep, drop := random(), random()
		want := slowAUC(keep, drop)
		keep, drop = merged(keep), merged(drop)
		got := auc(keep, drop)
		require.InDelta(t, want, got, 1e-12)
		require.InDelta(t, 1-got, auc(drop, keep), 1e-12)
	}
}

func TestAUCKnowsTiesAndEnds(t *testing.T) {
	one := func(v float64) []weighted { return []weighted{{v, 3}} }
	assert.Equal(t, 1.0, auc(one(1), one(0)))
	assert.Equal(t, 0.0, auc(one(0), one(1)))
	assert.Equal(t, 0.5, auc(one(1), one(1)))
	assert.Equal(t, 0.75, auc(merged([]weighted{{1, 1}, {0, 1}}), []weighted{{0, 5}}))
}

// Hanley & McNeil 1982, Table I: area 0.893, standard error 0.032. Each image
// is a dab of its own.
func TestAreaOfHanleyAndMcNeil(t *testing.T) {
	var keep, drop []weighted
	for _, row := range testdata.Table(t, "hanley_mcneil.csv") {
		v := row.Numbers("rating", "n_normal", "n_abnormal")
		drop, keep = append(drop, weighted{v[0], v[1]}), append(keep, weighted{v[0], v[2]})
	}
	keep, drop = merged(keep), merged(drop)
	assert.InDelta(t, 0.893, auc(keep, drop), 0.0005)
	assert.InDelta(t, 2642./(58*51), auc(keep, drop), 1e-12)

	single := func(ws []weighted) (out [][]weighted) {
		for _, w := range ws {
			for range int(w.count) {
				out = append(out, []weighted{{w.value, 1}})
			}
		}
		return out
	}
	var table [][]float64
	for _, k := range single(keep) {
		var row []float64
		for _, d := range single(drop) {
			row = append(row, auc(k, d))
		}
		table = append(table, row)
	}
	require.Len(t, table, 51)
	require.Len(t, table[0], 58)
	e := estimate(table)
	assert.InDelta(t, 0.893, e.Value, 0.0005)
	assert.InEpsilon(t, 0.032, (e.High-e.Low)/2/1.96, 0.15, "the standard error of %+v", e)
	assert.Equal(t, e, estimate(table), "the same draws at every call")
}

func TestEstimateOfOneTable(t *testing.T) {
	e := estimate([][]float64{{0.7}})
	assert.InDelta(t, 0.7, e.Value, 1e-12)
	assert.InDelta(t, 0.7, e.Low, 1e-12, "one dab of each kind tells nothing about others")
	assert.InDelta(t, 0.7, e.High, 1e-12)

	// Two keep dabs, one told apart and one not: both alone turn up in a quarter of
	// the draws each, so the interval contains them.
	e = estimate([][]float64{{1, 1}, {0.5, 0.5}})
	assert.InDelta(t, 0.75, e.Value, 1e-12)
	assert.InDelta(t, 0.5, e.Low, 1e-12)
	assert.InDelta(t, 1, e.High, 1e-12)
	assert.False(t, math.IsNaN(e.Value))
}

// Of two keep dabs and two drop dabs: the mean of four areas by hand; a dab without
// weights has no say, and neither have dabs of one kind.
func TestAUCCountsDabsAlike(t *testing.T) {
	keep, drop := [][]float32{{1, 1, 1, 1}, {0.5}, {}}, [][]float32{{0, 1}, {0.25}}
	assert.InDelta(t, (0.75+1+0.5+1)/4, AUC(keep, drop), 1e-12)
	assert.Equal(t, []float32{1, 1, 1, 1}, keep[0], "the weights stay as they are")
	assert.True(t, math.IsNaN(AUC(keep, nil)))
	assert.True(t, math.IsNaN(AUC([][]float32{{}}, drop)))
}
