package staging

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"

	"halocline/app/scene"
)

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
			twoSided = append(twoSided, r.judge(t, seed, hand, keys)...)
		}
		for _, keys := range oneSidedKeys(count) {
			oneSided = append(oneSided, r.judge(t, seed, hand, keys)...)
		}
		tellFailures(t, fmt.Sprintf("up to seed %d, one-sided", seed), oneSided)
		tellFailures(t, fmt.Sprintf("up to seed %d, two-sided", seed), twoSided)
		tellFailures(t, fmt.Sprintf("up to seed %d, together", seed), slices.Concat(oneSided, twoSided))
	})
	for _, name := range slices.Sorted(maps.Keys(means)) {
		t.Logf("all, %-30s: mean %.3f", name, stat.Mean(means[name], nil))
	}
	assert.GreaterOrEqual(t, stat.Mean(means[wayEvery(24, followToEdge)], nil), stat.Mean(means[wayEvery(24, straight)], nil)+0.1)
	assert.Positive(t, told(slices.Concat(oneSided, twoSided), farUnder).rank, "the surer, the better")
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
func (r *trial) judge(t *testing.T, seed int, hand []float64, keys []int) (out []judged) {
	t.Helper()
	s := r.run(t, followToEdge, keys)
	for i := range hand {
		if !slices.Contains(keys, i+1) {
			out = append(out, judged{s.sure[i], s.ious[i] - hand[i]})
		}
	}
	over, at := s.worstAgainst(hand)
	t.Logf("seed %d, keys %v: mean %.3f, at worst %+.3f against the hand's outline on frame %d, sure by %.2f", seed, keys, s.mean(), over, at, s.sure[at-1])
	r.look(t, followToEdge, keys, at, fmt.Sprintf("seed %d, %d keys, first %d", seed, len(keys), keys[0]))
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
