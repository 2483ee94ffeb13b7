package staging

import (
	"cmp"
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"halocline/app/scene"
)

// What masks that follow are worth on shots of the scene. HALOCLINE_FOLLOW=1-5+11-15,72,640 takes
// 72 frames of 640 pixels' width of seeds 1 to 5 and 11 to 15: minutes each, less with -short.

// A shotOrder says which shots are wanted.
type shotOrder struct {
	seeds        []int
	count, width int
}

func shotOrderOf(text string) (o shotOrder, err error) {
	parts := strings.Split(text, ",")
	if len(parts) != 3 {
		return o, fmt.Errorf("HALOCLINE_FOLLOW is %q, want such as 1-5+11-15,72,640", text)
	}
	if o.count, err = strconv.Atoi(parts[1]); err != nil {
		return o, err
	}
	if o.width, err = strconv.Atoi(parts[2]); err != nil {
		return o, err
	}
	for _, some := range strings.Split(parts[0], "+") {
		from, to, several := strings.Cut(some, "-")
		first, err := strconv.Atoi(from)
		if err != nil {
			return o, err
		}
		last := first
		if several {
			if last, err = strconv.Atoi(to); err != nil {
				return o, err
			}
		}
		for seed := first; seed <= last; seed++ {
			o.seeds = append(o.seeds, seed)
		}
	}
	return o, nil
}

// shotsAskedFor calls test with a trial on each shot that HALOCLINE_FOLLOW names.
func shotsAskedFor(t *testing.T, without scene.Effects, test func(t *testing.T, seed int, r *trial)) {
	t.Helper()
	text := os.Getenv("HALOCLINE_FOLLOW")
	if text == "" {
		t.Skip("HALOCLINE_FOLLOW not set")
	}
	o, err := shotOrderOf(text)
	require.NoError(t, err)
	for _, seed := range o.seeds {
		test(t, seed, trialOf(stripOf(t, seed, o.width, o.count, without)))
	}
}

// How far under another way a frame may fall.
const farUnder = 0.05

// Keys at even distances: a mask that follows and finds its edge beats one that goes straight,
// and falls far under it on no frame. How sure it is of its outline tells where it has failed.
func TestFollowedOverAShot(t *testing.T) {
	means := map[string][]float64{}
	var oneSided, twoSided []judged
	shotsAskedFor(t, 0, func(t *testing.T, seed int, r *trial) {
		hand, count := r.hand(t), r.strip.count()
		t.Logf("seed %d, hand on every frame: mean %.3f, least %.3f", seed, stat.Mean(hand, nil), slices.Min(hand))
		for _, every := range distances() {
			r.againstStraight(t, seed, every, means)
		}
		for _, keys := range [][]int{keysEvery(24, count), {1, count}} {
			twoSided = append(twoSided, r.judge(t, hand, keys)...)
		}
		for _, keys := range oneSidedKeys(count) {
			oneSided = append(oneSided, r.judge(t, hand, keys)...)
		}
		t.Logf("up to seed %d, one-sided: %v", seed, told(oneSided))
		t.Logf("up to seed %d, two-sided: %v", seed, told(twoSided))
		t.Logf("up to seed %d, together:  %v", seed, told(slices.Concat(oneSided, twoSided)))
	})
	for _, name := range slices.Sorted(maps.Keys(means)) {
		t.Logf("all, %-30s: mean %.3f", name, stat.Mean(means[name], nil))
	}
	assert.GreaterOrEqual(t, stat.Mean(means[wayEvery(24, followToEdge)], nil), stat.Mean(means[wayEvery(24, straight)], nil)+0.1)
	assert.GreaterOrEqual(t, told(slices.Concat(oneSided, twoSided)).auc, 0.85)
}

// distances are those between keys.
func distances() []int {
	if testing.Short() {
		return []int{24}
	}
	return []int{12, 24}
}

// oneSidedKeys are lists of a single key.
func oneSidedKeys(count int) [][]int {
	if testing.Short() {
		return [][]int{{1}}
	}
	return [][]int{{1}, {(1 + count) / 2}}
}

func wayEvery(every int, w maskWay) string { return fmt.Sprintf("keys every %d, %s", every, w.name) }

// againstStraight scores masks with keys every so many frames, and adds up their means.
func (r *trial) againstStraight(t *testing.T, seed, every int, means map[string][]float64) {
	t.Helper()
	keys := keysEvery(every, r.strip.count())
	plain := r.run(t, straight, keys)
	for _, w := range maskWays {
		s, name := r.run(t, w, keys), wayEvery(every, w)
		over, at := s.worstAgainst(plain.ious)
		t.Logf("seed %d, %-36s: mean %.3f, least %.3f, against straight at worst %+.3f on frame %d",
			seed, name, s.mean(), s.least(), over, at)
		means[name] = append(means[name], s.mean())
		if w == followToEdge {
			r.look(t, w, keys, at, fmt.Sprintf("seed %d, %s", seed, name))
			assert.GreaterOrEqual(t, over, -farUnder, "seed %d, keys every %d", seed, every)
		}
	}
}

// judge judges the frames without keys of a mask that follows and finds its edge.
func (r *trial) judge(t *testing.T, hand []float64, keys []int) (out []judged) {
	t.Helper()
	s := r.run(t, followToEdge, keys)
	for i := range hand {
		if !slices.Contains(keys, i+1) {
			out = append(out, judged{s.sure[i], s.ious[i] - hand[i]})
		}
	}
	over, at := s.worstAgainst(hand)
	t.Logf("keys %v: mean %.3f, at worst %+.3f against the hand's outline on frame %d, sure by %.2f", keys, s.mean(), over, at, s.sure[at-1])
	r.look(t, followToEdge, keys, at, fmt.Sprintf("%d keys, first %d", len(keys), keys[0]))
	return out
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

// What the net of light, drift and veil cost a mask that follows.
func TestFollowedWithoutEffects(t *testing.T) {
	means := map[scene.Effects][]float64{}
	effects := []scene.Effects{0, scene.Caustics, scene.Particles, scene.Veil}
	for _, e := range effects {
		shotsAskedFor(t, e, func(t *testing.T, seed int, r *trial) {
			s := r.run(t, followToEdge, keysEvery(24, r.strip.count()))
			t.Logf("seed %d without %-9v: mean %.3f, least %.3f", seed, e, s.mean(), s.least())
			means[e] = append(means[e], s.mean())
		})
	}
	for _, e := range effects {
		t.Logf("all without %-9v: mean %.3f", e, stat.Mean(means[e], nil))
		assert.Greater(t, stat.Mean(means[e], nil), 0.75, "without %v", e)
	}
}
