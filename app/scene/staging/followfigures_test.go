package staging

import (
	"cmp"
	"fmt"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"halocline/app/scene"
)

// What masks that follow are worth on shots of the scene. HALOCLINE_FOLLOW=1-5,72,640 takes 72
// frames of 640 pixels' width of seeds 1 to 5: minutes each.

// shotsAskedFor calls test with a trial on each shot that HALOCLINE_FOLLOW names.
func shotsAskedFor(t *testing.T, without scene.Effects, test func(t *testing.T, seed int, r *trial)) {
	t.Helper()
	text := os.Getenv("HALOCLINE_FOLLOW")
	if text == "" {
		t.Skip("HALOCLINE_FOLLOW not set")
	}
	var first, last, count, width int
	_, err := fmt.Sscanf(text, "%d-%d,%d,%d", &first, &last, &count, &width)
	require.NoError(t, err, "HALOCLINE_FOLLOW is %q, want such as 1-5,72,640", text)
	for seed := first; seed <= last; seed++ {
		test(t, seed, trialOf(stripOf(t, seed, width, count, without)))
	}
}

// How far under another way a frame may fall.
const farUnder = 0.05

// Keys at even distances: a mask that follows and finds its edge beats one that goes straight,
// and falls far under it on no frame.
func TestFollowedAgainstStraight(t *testing.T) {
	means := map[string][]float64{}
	shotsAskedFor(t, 0, func(t *testing.T, seed int, r *trial) {
		hand := r.hand(t)
		t.Logf("seed %d, hand on every frame: mean %.3f, least %.3f", seed, stat.Mean(hand, nil), slices.Min(hand))
		for _, every := range []int{12, 24} {
			plain := r.run(t, straight, keysEvery(every, r.strip.count()))
			for _, w := range maskWays {
				s := r.run(t, w, keysEvery(every, r.strip.count()))
				over, at := s.worstAgainst(plain.ious)
				t.Logf("seed %d, keys every %d, %-20s: mean %.3f, least %.3f, against straight at worst %+.3f on frame %d",
					seed, every, w.name, s.mean(), s.least(), over, at)
				name := fmt.Sprintf("every %d, %s", every, w.name)
				means[name] = append(means[name], s.mean())
				if w == followToEdge {
					assert.GreaterOrEqual(t, over, -farUnder, "seed %d, keys every %d", seed, every)
				}
			}
		}
	})
	for _, every := range []int{12, 24} {
		for _, w := range maskWays {
			name := fmt.Sprintf("every %d, %s", every, w.name)
			t.Logf("all, %-30s: mean %.3f", name, stat.Mean(means[name], nil))
		}
	}
	mean := func(w maskWay) float64 { return stat.Mean(means["every 24, "+w.name], nil) }
	assert.GreaterOrEqual(t, mean(followToEdge), mean(straight)+0.1)
}

// Keys where they are needed: on the worst frame, again and again, until no frame falls far
// under what a hand draws there.
func TestKeysForAShot(t *testing.T) {
	sums := map[string]int{}
	shotsAskedFor(t, 0, func(t *testing.T, seed int, r *trial) {
		hand := r.hand(t)
		for _, w := range []maskWay{straight, followToEdge} {
			frames := []int{1, r.strip.count()}
			s := r.run(t, w, frames)
			for over, at := s.worstAgainst(hand); over < -farUnder; over, at = s.worstAgainst(hand) {
				place, has := slices.BinarySearch(frames, at)
				if has {
					t.Logf("seed %d, %s: frame %d is %.3f under the hand's outline with a key on it", seed, w.name, at, -over)
					break
				}
				frames = slices.Insert(frames, place, at)
				s = r.run(t, w, frames)
			}
			t.Logf("seed %d, %-20s: %d keys for %d frames: %v", seed, w.name, len(frames), r.strip.count(), frames)
			sums[w.name] += len(frames)
		}
	})
	assert.Less(t, 2*sums[followToEdge.name], sums[straight.name], "half the keys do")
}

// failure is how far under the hand's outline a followed frame has failed.
const failure = 0.1

// A judged frame is one that a mask followed to: how sure it was of its outline, and by how
// much it lies over the hand's.
type judged struct{ sure, over float64 }

func (j judged) failed() bool { return j.over < -failure }

// Confidence tells which frames have failed.
func TestConfidenceTellsFailures(t *testing.T) {
	var oneSided, twoSided []judged
	shotsAskedFor(t, 0, func(t *testing.T, seed int, r *trial) {
		hand, count := r.hand(t), r.strip.count()
		take := func(to *[]judged, frames ...int) {
			s := r.run(t, followToEdge, frames)
			for i := range hand {
				if !slices.Contains(frames, i+1) {
					*to = append(*to, judged{s.sure[i], s.ious[i] - hand[i]})
				}
			}
		}
		take(&twoSided, keysEvery(24, count)...)
		take(&twoSided, 1, (1+count)/2, count)
		take(&twoSided, 1, count)
		take(&oneSided, 1)
		take(&oneSided, count)
		take(&oneSided, (1+count)/2)
	})
	all := slices.Concat(oneSided, twoSided)
	t.Logf("one-sided: %v", told(oneSided))
	t.Logf("two-sided: %v", told(twoSided))
	t.Logf("together:  %v", told(all))
	assert.GreaterOrEqual(t, told(all).auc, 0.85)
}

// What confidence tells of judged frames.
type telling struct {
	frames, failures int
	auc              float64 // of a failure being less sure than another frame
	rank             float64 // correlation of the ranks of confidence and IoU over the hand's
	lowest           float64 // the share of failures among the fifth that is least sure
}

func (t telling) String() string {
	return fmt.Sprintf("%d frames, %d failures, area under the ROC curve %.3f, rank correlation %.3f, the least sure fifth has %.2f of the failures",
		t.frames, t.failures, t.auc, t.rank, t.lowest)
}

func told(all []judged) (out telling) {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b judged) int { return cmp.Compare(a.sure, b.sure) })
	out.frames = len(all)
	var sure, over []float64
	for i, j := range all {
		sure, over = append(sure, j.sure), append(over, j.over)
		if !j.failed() {
			continue
		}
		out.failures++
		if 5*i < len(all) {
			out.lowest++
		}
	}
	out.lowest /= float64(out.failures)
	pairs := 0.
	for _, a := range all {
		for _, b := range all {
			switch {
			case !a.failed() || b.failed():
			case a.sure < b.sure:
				pairs++
			case a.sure == b.sure:
				pairs += 0.5
			}
		}
	}
	out.auc = pairs / float64(out.failures*(out.frames-out.failures))
	out.rank = stat.Correlation(ranks(sure), ranks(over), nil)
	return out
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
