package selection

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// A weighted value is one pixel's weight, with how many pixels it stands for.
type weighted struct{ value, count float64 }

// merged sorts values in place and joins equal ones.
func merged(values []weighted) []weighted {
	slices.SortFunc(values, func(a, b weighted) int { return cmp.Compare(a.value, b.value) })
	out := values[:0]
	for _, v := range values {
		if n := len(out); n > 0 && out[n-1].value == v.value {
			out[n-1].count += v.count
			continue
		}
		out = append(out, v)
	}
	return out
}

// auc returns the chance that a value from keep is above one from drop, ties
// counting half: the area under the ROC curve (Hanley & McNeil 1982).
// Both are merged.
func auc(keep, drop []weighted) float64 {
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

// AUC returns the chance that a weight of a keep dab is above one of a drop dab,
// ties counting half: the area under the ROC curve (Hanley & McNeil 1982). Each
// dab counts the same, however many weights it has, and one without any does not.
// NaN: there are no dabs of one kind.
func AUC(keep, drop [][]float32) float64 {
	drops := weightsOf(drop)
	sum, n := 0.0, 0
	for _, k := range weightsOf(keep) {
		for _, d := range drops {
			sum += auc(k, d)
			n++
		}
	}
	if n == 0 {
		return math.NaN()
	}
	return sum / float64(n)
}

// weightsOf returns the dabs that have weights, merged.
func weightsOf(dabs [][]float32) (out [][]weighted) {
	for _, dab := range dabs {
		if len(dab) == 0 {
			continue
		}
		values := make([]weighted, len(dab))
		for i, v := range dab {
			values[i] = weighted{float64(v), 1}
		}
		out = append(out, merged(values))
	}
	return out
}

// An Estimate is a figure in [0,1] with the interval that contains it in 95 of 100
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
	row, column := make([]int, len(table)), make([]int, len(table[0]))
	mean := func() float64 {
		sum := 0.0
		for _, r := range row {
			for _, c := range column {
				sum += table[r][c]
			}
		}
		return sum / float64(len(row)*len(column))
	}
	means := make([]float64, draws)
	for i := range means {
		draw(rng, row)
		draw(rng, column)
		means[i] = mean()
	}
	slices.Sort(means)
	inOrder(row)
	inOrder(column)
	return Estimate{Value: mean(), Low: means[draws/40], High: means[draws-1-draws/40]}
}

// draw fills index with any of its places, with replacement.
func draw(rng *rand.Rand, index []int) {
	for i := range index {
		index[i] = rng.IntN(len(index))
	}
}

func inOrder(index []int) {
	for i := range index {
		index[i] = i
	}
}
