package staging

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"
)

// A judged frame is one that a mask followed to: how sure it was of its outline, and by how
// much its IoU lies over that of the hand's.
type judged struct{ sure, over float64 }

// tellFailures logs what confidence tells of frames that lie under the hand's outline by more
// than .1, which is a failure, and by more than .05.
func tellFailures(t *testing.T, what string, all []judged) {
	t.Helper()
	for _, under := range []float64{0.1, 0.05} {
		t.Logf("%s, more than %.2f under the hand: %v", what, under, told(all, under))
	}
}

// A telling is what confidence tells of frames that failed.
type telling struct {
	frames, failures int
	auc              float64 // of a failure being less sure than another frame; 0 where there are not both
	rank             float64 // correlation of the ranks of confidence and IoU over the hand's
	lowest           int     // failures among the fifth that is least sure
}

func (t telling) String() string {
	return fmt.Sprintf("%d of %d frames, area under the ROC curve %.3f, the least sure fifth has %d of them; rank correlation %.3f",
		t.failures, t.frames, t.auc, t.lowest, t.rank)
}

// told sums up frames, of which those have failed that lie so far under the hand's outline.
func told(all []judged, under float64) (out telling) {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b judged) int { return cmp.Compare(a.sure, b.sure) })
	out.frames = len(all)
	var sure, over, failed, held []float64
	for i, j := range all {
		sure, over = append(sure, j.sure), append(over, j.over)
		if j.over >= -under {
			held = append(held, j.sure)
			continue
		}
		failed = append(failed, j.sure)
		if 5*i < len(all) {
			out.lowest++
		}
	}
	out.failures, out.auc = len(failed), aucOf(failed, held)
	out.rank = stat.Correlation(ranks(sure), ranks(over), nil)
	return out
}

// aucOf is the share of pairs of which the first is the lower one; ties are worth a half. It is
// 0 where there are none.
func aucOf(low, high []float64) float64 {
	sum := 0.
	for _, a := range low {
		for _, b := range high {
			switch {
			case a < b:
				sum++
			case a == b:
				sum += 0.5
			}
		}
	}
	return sum / float64(max(len(low)*len(high), 1))
}

// ranks are the places of values in their order; equal ones share the middle of theirs.
func ranks(values []float64) (out []float64) {
	sorted := slices.Sorted(slices.Values(values))
	for _, v := range values {
		below, _ := slices.BinarySearch(sorted, v)
		upTo, _ := slices.BinarySearchFunc(sorted, v, func(a, b float64) int {
			if a <= b {
				return -1
			}
			return 1
		})
		out = append(out, float64(below+upTo-1)/2)
	}
	return out
}

// What is told of frames, on a few whose figures are worked out by hand.
func TestTold(t *testing.T) {
	all := []judged{{0.9, 0.05}, {0.2, -0.2}, {0.5, 0}, {0.4, -0.06}, {0.5, -0.15}}
	assert.Equal(t, telling{frames: 5, failures: 2, auc: (3 + 1 + 0.5) / 6, lowest: 1, rank: told(all, 0.1).rank}, told(all, 0.1))
	assert.InDelta(t, 0.8208, told(all, 0.1).rank, 1e-4, "of ranks 5, 1, 3.5, 2, 3.5 and 5, 1, 4, 3, 2")
	assert.Zero(t, told(all[:1], 0.1).auc)
	assert.Equal(t, []float64{0, 3, 1.5, 1.5}, ranks([]float64{1, 9, 4, 4}))
}
