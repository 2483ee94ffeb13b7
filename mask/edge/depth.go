package edge

import "math"

// signedDepths writes how deep each pixel of a w x h grid lies inside what is filled, in
// pixels: the distance of its centre to the nearest one outside, less a half; below 0
// outside, likewise. It is exact: A. Meijster, J. B. T. M. Roerdink & W. H. Hesselink 2000,
// "A General Algorithm for Computing Distance Transforms in Linear Time". What lies beyond
// the grid does not count; where there is no pixel of the other kind, the depth is far.
func signedDepths(dst []float32, filled []bool, w, h int) {
	column := make([]int32, w*h)
	squares := make([]int32, w)
	line := newEnvelope(w)
	for _, of := range []bool{true, false} {
		columnDistances(column, filled, of, w, h)
		for y := range h {
			line.squares(squares, column[y*w:(y+1)*w])
			for x, s := range squares {
				if filled[y*w+x] != of {
					continue
				}
				d := float32(far)
				if s < far*far {
					d = float32(math.Sqrt(float64(s))) - 0.5
				}
				if !of {
					d = -d
				}
				dst[y*w+x] = d
			}
		}
	}
}

// far is more than any distance that matters, in pixels. Its square fits.
const far = 1 << 14

// columnDistances writes the distance up or down to the nearest pixel that is not of the
// kind, at most far.
func columnDistances(dst []int32, filled []bool, of bool, w, h int) {
	for y := range h {
		for x := range w {
			i := y*w + x
			switch {
			case filled[i] != of:
				dst[i] = 0
			case y == 0:
				dst[i] = far
			default:
				dst[i] = min(dst[i-w]+1, far)
			}
		}
	}
	for y := h - 2; y >= 0; y-- {
		for x := range w {
			i := y*w + x
			dst[i] = min(dst[i], dst[i+w]+1)
		}
	}
}

// An envelope is the lower envelope of the parabolas over a row.
type envelope struct{ at, from []int32 }

func newEnvelope(w int) *envelope { return &envelope{make([]int32, w), make([]int32, w)} }

// squares writes the least of (x-i)^2 + column(i)^2 over all i, at most far^2.
func (e *envelope) squares(dst, column []int32) {
	n := int32(len(column))
	square := func(x, i int32) int64 {
		return int64(x-i)*int64(x-i) + int64(column[i])*int64(column[i])
	}
	q := 0
	e.at[0], e.from[0] = 0, 0
	for u := int32(1); u < n; u++ {
		for q >= 0 && square(e.from[q], e.at[q]) > square(e.from[q], u) {
			q--
		}
		if q < 0 {
			q = 0
			e.at[0], e.from[0] = u, 0
			continue
		}
		i := e.at[q]
		meet := (int64(u)*int64(u) - int64(i)*int64(i) + int64(column[u])*int64(column[u]) - int64(column[i])*int64(column[i])) / (2 * int64(u-i))
		if meet+1 < int64(n) {
			q++
			e.at[q], e.from[q] = u, int32(meet+1)
		}
	}
	for x := n - 1; x >= 0; x-- {
		dst[x] = int32(min(square(x, e.at[q]), far*far))
		if x == e.from[q] {
			q--
		}
	}
}

// widest replaces each value by the largest one of a square window that reaches so far to
// all sides: M. van Herk 1992, "A fast algorithm for local minimum and maximum filters",
// with a queue in place of blocks.
func widest(values []float32, w, h, reach int) {
	line := make([]float32, max(w, h))
	queue := make([]int32, max(w, h))
	for y := range h {
		row := values[y*w : (y+1)*w]
		copy(line, row)
		slideMax(row, line[:w], queue, reach, 1)
	}
	for x := range w {
		for y := range h {
			line[y] = values[y*w+x]
		}
		slideMax(values[x:], line[:h], queue, reach, w)
	}
}

// slideMax writes to every stride-th place the largest of a line within reach.
func slideMax(dst, line []float32, queue []int32, reach, stride int) {
	first, n := 0, 0 // queue[first:n] are places of falling values
	next := 0
	for i := range line {
		for ; next < len(line) && next <= i+reach; next++ {
			for n > first && line[queue[n-1]] <= line[next] {
				n--
			}
			queue[n] = int32(next)
			n++
		}
		if int(queue[first]) < i-reach {
			first++
		}
		dst[i*stride] = line[queue[first]]
	}
}
