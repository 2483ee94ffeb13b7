package staging

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// paired is a mean difference between two ways, each tried on the same draws, with the
// 95 % interval of Student's t.
type paired struct{ mean, low, high float64 }

func pairedOf(before, after []float64) paired {
	difference := make([]float64, len(before))
	for i := range before {
		difference[i] = after[i] - before[i]
	}
	mean, deviation := stat.MeanStdDev(difference, nil)
	n := float64(len(difference))
	reach := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.975) * deviation / math.Sqrt(n)
	return paired{mean, mean - reach, mean + reach}
}

func (p paired) String() string { return fmt.Sprintf("%+.3f (%+.3f to %+.3f)", p.mean, p.low, p.high) }

// draws are the figures of one way, by draw of dabs: the mean over all pictures.
type draws []totals

func (d draws) split() (accuracy, iou []float64) {
	for i := range d {
		m := d[i].mean()
		accuracy, iou = append(accuracy, m.accuracy), append(iou, m.iou)
	}
	return accuracy, iou
}

// mean is the mean of all draws.
func (d draws) mean() figures {
	var all totals
	for i := range d {
		all.add(d[i].mean())
	}
	return all.mean()
}

// against says how far a way lies above another on the same draws.
func (d draws) against(other draws) (accuracy, iou paired) {
	a, i := d.split()
	b, j := other.split()
	return pairedOf(b, a), pairedOf(j, i)
}
