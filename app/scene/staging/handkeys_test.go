package staging

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// handVertices is how many vertices a hand gives an outline.
const handVertices = 40

// keysEvery are the frames of keys on the first, the last and every so many between.
func keysEvery(every, count int) (frames []int) {
	for n := 1; n < count; n += every {
		frames = append(frames, n)
	}
	return append(frames, count)
}

// handKeys draws an outline of the largest part of the truth on some frames of a strip, as a
// careful hand does: with as many vertices on each, the first of which go together.
func handKeys(t *testing.T, s *strip, frames []int) (keys []study.MaskKey) {
	t.Helper()
	var before []mask.Point
	for _, n := range frames {
		before = turned(handOutline(t, s.truth(n)), before)
		keys = append(keys, study.MaskKey{Frame: n, Points: before, Opacity: 1, Tight: true})
	}
	return keys
}

// handOutline goes about the largest part of a truth, within 2 pixels.
func handOutline(t *testing.T, truth colour.Plane) []mask.Point {
	t.Helper()
	parts := partsOf(filledOf(truth), truth.W, truth.H)
	require.NotEmpty(t, parts, "nothing to draw about")
	most, at := 0, 0
	for i, part := range parts {
		sum := 0
		for _, is := range part {
			if is {
				sum++
			}
		}
		if sum > most {
			most, at = sum, i
		}
	}
	return spaced(borderOf(parts[at], truth.W, truth.H), handVertices)
}

// spaced are so many points evenly along a closed line.
func spaced(line []mask.Point, n int) (out []mask.Point) {
	whole := 0.
	for i, p := range line {
		q := line[(i+1)%len(line)]
		whole += math.Hypot(q.X-p.X, q.Y-p.Y)
	}
	at := 0.
	for i, p := range line {
		q := line[(i+1)%len(line)]
		d := math.Hypot(q.X-p.X, q.Y-p.Y)
		for float64(len(out))*whole/float64(n) < at+d && len(out) < n {
			u := (float64(len(out))*whole/float64(n) - at) / d
			out = append(out, mask.Point{X: p.X + u*(q.X-p.X), Y: p.Y + u*(q.Y-p.Y)})
		}
		at += d
	}
	return out
}

// turned begins a closed line at another of its points, so that it lies nearest to one before.
func turned(line, before []mask.Point) []mask.Point {
	best, out := math.Inf(1), line
	for k := range line {
		now := append(append([]mask.Point{}, line[k:]...), line[:k]...)
		sum := 0.
		for i, p := range before {
			sum += (now[i].X-p.X)*(now[i].X-p.X) + (now[i].Y-p.Y)*(now[i].Y-p.Y)
		}
		if before == nil || sum < best {
			best, out = sum, now
			if before == nil {
				break
			}
		}
	}
	return out
}
