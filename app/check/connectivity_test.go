package check

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// slowSource marks the largest 4-connected set of in by flooding from each
// pixel; none where in is nowhere true.
func slowSource(in []bool, w, h int) []bool {
	largest, best := make([]bool, w*h), 0
	seen := make([]bool, w*h)
	for start := range in {
		if !in[start] || seen[start] {
			continue
		}
		set, size := make([]bool, w*h), 0
		for todo := []int{start}; len(todo) > 0; {
			at := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			if !in[at] || seen[at] {
				continue
			}
			seen[at], set[at] = true, true
			size++
			if at%w > 0 {
				todo = append(todo, at-1)
			}
			if at%w < w-1 {
				todo = append(todo, at+1)
			}
			if at >= w {
				todo = append(todo, at-w)
			}
			if at < w*(h-1) {
				todo = append(todo, at+w)
			}
		}
		if size > best {
			largest, best = set, size
		}
	}
	return largest
}

func slowConnectivityError(a, g colour.Plane, unknown *colour.Plane) (sum float64) {
	level := make([]float64, len(a.Pix))
	left := make([]bool, len(a.Pix))
	for k := 1; k <= 10; k++ {
		in := make([]bool, len(a.Pix))
		for i := range in {
			in[i] = a.Pix[i] >= float32(k)/10 && g.Pix[i] >= float32(k)/10
		}
		for i, source := range slowSource(in, a.W, a.H) {
			if !source && !left[i] {
				left[i], level[i] = true, float64(float32(k-1)/10)
			}
		}
	}
	phi := func(alpha float32, i int) float64 {
		l := level[i]
		if !left[i] {
			l = 1
		}
		if d := float64(alpha) - l; d >= 0.15 {
			return 1 - d
		}
		return 1
	}
	for i := range a.Pix {
		if unknown == nil || unknown.Pix[i] == 0 {
			sum += math.Abs(phi(a.Pix[i], i) - phi(g.Pix[i], i))
		}
	}
	return sum
}

func connectivity(t *testing.T, a, g colour.Plane) float64 {
	t.Helper()
	got, err := connectivityError(context.Background(), a, g, nil)
	require.NoError(t, err)
	assert.InDelta(t, slowConnectivityError(a, g, nil), got, 1e-12)
	return got
}

func TestConnectivityCases(t *testing.T) {
	// Worked by hand. A loose pixel in the truth's gap: l = 0, d = 0.6 and 0.
	assert.InDelta(t, 0.6, connectivity(t, plane(5, 1, 1, 1, 0, 0.6, 0), plane(5, 1, 1, 1, 0, 0, 0)), 1e-7)
	// What is loose in both by the same is no error.
	assert.Zero(t, connectivity(t, plane(5, 1, 1, 1, 0, 0.6, 0), plane(5, 1, 1, 1, 0, 0.6, 0)))
	// Of equal sets the first is the source: the second is loose, 1 against 0.5.
	assert.InDelta(t, 0.5, connectivity(t, plane(3, 1, 1, 0, 0.5), plane(3, 1, 1, 0, 1)), 1e-7)
	assert.InDelta(t, 0.5, connectivity(t, plane(3, 1, 0.5, 0, 1), plane(3, 1, 1, 0, 1)), 1e-7)
	// No pixel reaches a threshold: everything leaves there, at l = 0.3; one
	// alpha is 0.1 above, which does not count, the other 0.7.
	assert.InDelta(t, 0.7, connectivity(t, plane(1, 1, 0.375), plane(1, 1, 1)), 1e-7)
	// Nothing anywhere.
	assert.Zero(t, connectivity(t, colour.NewPlane(3, 3), colour.NewPlane(3, 3)))
	// Corners do not connect.
	assert.InDelta(t, 0.5, connectivity(t, plane(2, 2, 1, 0, 0, 0.5), plane(2, 2, 1, 0, 0, 1)), 1e-7)
}

// Codes that stand for a tenth exactly are at that tenth's threshold.
func TestThresholdsMeetCodes(t *testing.T) {
	for k := uint8(2); k <= connectivityThresholds; k += 2 {
		assert.Equal(t, threshold(k), colour.FromCode16(uint16(k)*6553+uint16(k)/2), "16 bits, threshold %d", k)
		assert.Equal(t, threshold(k), colour.FromCode8(k/2*51), "8 bits, threshold %d", k)
		at, below := plane(1, 1, threshold(k)), plane(1, 1, math.Nextafter32(threshold(k), 0))
		assert.Equal(t, k, newConnected(at, at).reach[0])
		assert.Equal(t, k-1, newConnected(at, below).reach[0])
	}
}
