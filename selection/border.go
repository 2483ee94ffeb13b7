package selection

import "math"

// A border search finds the interval of one channel that gathers the most from
// a histogram whose entries may be negative: samples to keep weigh up, samples
// to drop weigh down. The histogram is first spread by a Gaussian, so that
// what is gathered is the expected membership of samples that might as well
// have fallen a little beside where they did.

// tie is the gain that a wider interval must bring. It is far above rounding
// and far below what one sample in a million weighs.
const tie = 1e-10

// gaussian returns the half kernel of a Gaussian of deviation sigma bins, cut
// at 4 sigma and scaled to sum 1 on both sides together.
func gaussian(sigma float64) []float64 {
	k := make([]float64, min(int(math.Ceil(4*sigma)), bins)+1)
	sum := 0.0
	for i := range k {
		if i == 0 {
			k[i] = 1
			sum = 1
			continue
		}
		k[i] = math.Exp(-float64(i*i) / (2 * sigma * sigma))
		sum += 2 * k[i]
	}
	for i := range k {
		k[i] /= sum
	}
	return k
}

// bestArc returns the arc [lo,hi) of bins on a circle that gathers the most,
// and how much. lo is in [0,bins), hi may exceed bins.
func bestArc(hist []float64, kernel []float64) (lo, hi int, gain float64) {
	return gatherMost(spreadRound(hist, kernel), len(hist))
}

// spreadRound returns a circle's histogram under the kernel.
func spreadRound(hist, kernel []float64) []float64 {
	n := len(hist)
	spread := make([]float64, n)
	for i, v := range hist {
		if v == 0 {
			continue
		}
		spread[i] += v * kernel[0]
		for k := 1; k < len(kernel); k++ {
			spread[(i+k)%n] += v * kernel[k]
			spread[((i-k)%n+n)%n] += v * kernel[k]
		}
	}
	return spread
}

// gatherMost looks twice round the circle for the two running sums furthest
// apart within one turn. Candidates for the lower one wait in a queue whose
// sums rise.
func gatherMost(spread []float64, n int) (lo, hi int, gain float64) {
	sums := make([]float64, 2*n+1)
	for i := range 2 * n {
		sums[i+1] = sums[i] + spread[i%n]
	}
	gain = math.Inf(-1)
	queue := []int{0}
	for end := 1; end <= 2*n; end++ {
		if queue[0] < end-n {
			queue = queue[1:]
		}
		if g := sums[end] - sums[queue[0]]; g > gain+tie {
			lo, hi, gain = queue[0], end, g
		}
		for len(queue) > 0 && sums[queue[len(queue)-1]] >= sums[end] {
			queue = queue[:len(queue)-1]
		}
		queue = append(queue, end)
	}
	return lo % n, lo%n + hi - lo, gain
}

// bestInterval returns the interval [lo,hi) of bins on a line that gathers the
// most, and how much. It may end beyond the bins, where nothing speaks against
// it any more.
func bestInterval(hist []float64, kernel []float64) (lo, hi int, gain float64) {
	reach := len(kernel) - 1
	gain = math.Inf(-1)
	start, sum := 0, 0.0
	for i, v := range spreadAlong(hist, kernel) {
		if sum <= 0 {
			start, sum = i, 0
		}
		sum += v
		if sum > gain+tie {
			lo, hi, gain = start, i+1, sum
		}
	}
	return lo - reach, hi - reach, gain
}

// spreadAlong returns a line's histogram under the kernel, longer by the
// kernel's reach at both ends.
func spreadAlong(hist, kernel []float64) []float64 {
	reach := len(kernel) - 1
	spread := make([]float64, len(hist)+2*reach)
	for i, v := range hist {
		if v == 0 {
			continue
		}
		at := i + reach
		spread[at] += v * kernel[0]
		for k := 1; k <= reach; k++ {
			spread[at+k] += v * kernel[k]
			spread[at-k] += v * kernel[k]
		}
	}
	return spread
}

// flat is the gain that a border may lose and still be as good: a twentieth of one
// in a hundred pixels. Samples tell no finer, and a stray pixel weighs less.
const flat = 0.0005

// middle returns how far a border should move, in bins, to stand half way
// between the first and the last place that are as good: past the samples to
// keep, before those to drop; but no further past the first than most says, for what
// lies far from every sample is more likely out. at returns what the i-th bin beyond the
// border gathers; within counts the bins that it may move back, beyond
// those up to the end, where nothing to drop has turned up.
func middle(at func(i int) float64, within, beyond int, most room) int {
	out, lost := 0, 0.0
	for ; out < beyond; out++ {
		if lost -= at(out); lost > flat {
			break
		}
	}
	in, kept := 0, 0.0
	for ; in < within; in++ {
		if kept += at(-1 - in); kept > flat {
			break
		}
	}
	if out == beyond {
		return most.inOpen - in
	}
	return min(most.toDrop, (in+out)/2) - in
}
