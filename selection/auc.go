package selection

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// A weighted value is one pixel's weight, with how many pixels it stands for.
type weighted struct{ value, count float64 }

// auc returns the chance that a value from keep is above one from drop, ties
// counting half: the area under the ROC curve (Hanley & McNeil 1982).
func auc(keep, drop []weighted) float64 {
	byValue := func(a, b weighted) int { return cmp.Compare(a.value, b.value) }
	keep, drop = slices.SortedFunc(slices.Values(keep), byValue), slices.SortedFunc(slices.Values(drop), byValue)
	var under, upTo float64 // how much of drop lies under a value, and under or at it
	var won, kept, dropped float64
	i, j := 0, 0
	for _, d := range drop {
		dropped += d.count
	}
	for _, k := range keep {
		for ; i < len(drop) && drop[i].value < k.value; i++ {
			under += drop[i].count
		}
		for ; j < len(drop) && drop[j].value <= k.value; j++ {
			upTo += drop[j].count
		}
		won += k.count * (under + upTo) / 2
		kept += k.count
	}
	return won / (kept * dropped)
}

// An Estimate is a figure in [0,1] with the interval that holds it in 95 of 100
// draws of other dabs.
type Estimate struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// draws of dabs for an interval. Its ends move by less than 0.01 from 1,000 on.
const draws = 2000

// estimate returns the mean of a table of AUCs, a row for each keep dab and a
// column for each drop dab, and a bootstrap interval over whole dabs (Efron &
// Tibshirani 1993, percentile form): rows and columns are drawn again with
// replacement. The draws are the same at every call.
func estimate(table [][]float64) Estimate {
	rng := rand.New(rand.NewPCG(1993, 42))
	rows, columns := len(table), len(table[0])
	means := make([]float64, draws)
	row, column := make([]int, rows), make([]int, columns)
	for i := range means {
		draw(rng, row)
		draw(rng, column)
		for _, r := range row {
			for _, c := range column {
				means[i] += table[r][c] / float64(rows*columns)
			}
		}
	}
	slices.Sort(means)
	e := Estimate{Low: means[draws/40], High: means[draws-1-draws/40]}
	for _, r := range table {
		for _, v := range r {
			e.Value += v / float64(rows*columns)
		}
	}
	return e
}

func draw(rng *rand.Rand, index []int) {
	for i := range index {
		index[i] = rng.IntN(len(index))
	}
}
