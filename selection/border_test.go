package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spreadOn returns hist spread by the kernel over n more bins on each side, or
// round the circle where n is negative.
func spreadOn(hist, kernel []float64, n int) []float64 {
	circle := n < 0
	n = max(n, 0)
	out := make([]float64, len(hist)+2*n)
	for i, v := range hist {
		for k := -(len(kernel) - 1); k < len(kernel); k++ {
			at := i + k + n
			if circle {
				at = (at%len(hist) + len(hist)) % len(hist)
			}
			weight := kernel[max(k, -k)]
			out[at] += v * weight
		}
	}
	return out
}

// slowBest tries every pair of borders and returns the most that an interval
// of up to a turn gathers.
func slowBest(spread []float64, circle bool) float64 {
	best, n := math.Inf(-1), len(spread)
	for lo := range n {
		sum := 0.0
		for hi := lo + 1; hi <= lo+n && (circle || hi <= n); hi++ {
			sum += spread[(hi-1)%n]
			best = math.Max(best, sum)
		}
	}
	return best
}

func gathered(spread []float64, lo, hi int) (sum float64) {
	n := len(spread)
	for i := lo; i < hi; i++ {
		sum += spread[(i%n+n)%n]
	}
	return sum
}

// randomHistogram has clusters to keep and to drop, and empty bins.
func randomHistogram(rng *rand.Rand, n int) []float64 {
	hist := make([]float64, n)
	for range 1 + rng.IntN(5) {
		centre, weight := rng.IntN(n), rng.NormFloat64()
		for range 8 {
			hist[((centre+int(4*rng.NormFloat64()))%n+n)%n] += weight
		}
	}
	return hist
}

func TestBestArcTriesEveryPairOfBorders(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 5))
	for range 2000 {
		hist := randomHistogram(rng, 40+rng.IntN(30))
		kernel := gaussian(0.5 + 2*rng.Float64())
		spread := spreadOn(hist, kernel, -1)
		lo, hi, gain := bestArc(hist, kernel)
		require.InDelta(t, slowBest(spread, true), gain, 1e-9, "%v", hist)
		require.InDelta(t, gain, gathered(spread, lo, hi), 1e-9)
		require.True(t, 0 <= lo && lo < len(hist) && lo < hi && hi <= lo+len(hist), "[%d,%d) of %d", lo, hi, len(hist))
	}
}

func TestBestIntervalTriesEveryPairOfBorders(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 5))
	for range 2000 {
		hist := randomHistogram(rng, 40+rng.IntN(30))
		kernel := gaussian(0.5 + 2*rng.Float64())
		reach := len(kernel) - 1
		spread := spreadOn(hist, kernel, reach)
		lo, hi, gain := bestInterval(hist, kernel)
		require.InDelta(t, slowBest(spread, false), gain, 1e-9, "%v", hist)
		require.InDelta(t, gain, gathered(spread, lo+reach, hi+reach), 1e-9)
		require.True(t, -reach <= lo && lo < hi && hi <= len(hist)+reach, "[%d,%d) of %d", lo, hi, len(hist))
	}
}

func TestKernelIsAGaussianOfSumOne(t *testing.T) {
	for _, sigma := range []float64{0.3, 1, 2, 17.5, 400} {
		k := gaussian(sigma)
		sum := k[0]
		for i := 1; i < len(k); i++ {
			sum += 2 * k[i]
			require.InDelta(t, math.Exp(-float64(i*i)/(2*sigma*sigma)), k[i]/k[0], 1e-12)
		}
		require.InDelta(t, 1, sum, 1e-9)
		require.LessOrEqual(t, len(k), bins+1)
	}
}

func TestBordersOfTwoClusters(t *testing.T) {
	hist := make([]float64, 64)
	hist[10], hist[30] = 1, -1
	for _, find := range []func(hist, kernel []float64) (lo, hi int, gain float64){bestArc, bestInterval} {
		lo, hi, gain := find(hist, gaussian(2))
		require.Equal(t, 2, lo, "the narrowest that gathers all: the kernel ends at 4 sigma")
		require.InDelta(t, 20, hi, 2, "between equal clusters")
		require.InDelta(t, 1, gain, 1e-5)
	}
}

// A border goes half of the way to what is to be dropped, no further than the room for that
// case, and into open space as far as the room there.
func TestBordersKeepToTheirRoom(t *testing.T) {
	keepAt, dropAt := -3, 20 // bins beyond the border
	at := func(i int) float64 {
		switch i {
		case keepAt:
			return 1
		case dropAt:
			return -1
		}
		return 0
	}
	assert.Equal(t, (20-2)/2, middle(at, 10, 50, room{toDrop: 30, inOpen: 5}), "two bins back is the last to keep")
	assert.Equal(t, 7-2, middle(at, 10, 50, room{toDrop: 7, inOpen: 5}))
	assert.Equal(t, 5-2, middle(at, 10, 15, room{toDrop: 30, inOpen: 5}), "nothing to drop up to the end")

	few, many := roomOf(4, fewDabs), roomOf(4, fewDabs+1)
	assert.Equal(t, room{8, 8}, many)
	assert.Equal(t, room{8 * roomToDrop, 8 * roomInOpen}, few)
}
