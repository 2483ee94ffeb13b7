package check

import (
	"math"
	"slices"

	"halocline/colour"
	"halocline/mask"
)

// keeps reports whether a mask that works says where the matte may be.
func keeps(layers []mask.Layer) bool {
	return slices.ContainsFunc(layers, func(l mask.Layer) bool { return !l.Drop && !l.Off })
}

// outermost is the share of a matte that may lie nearer to a side than its room
// counts from: a few specks are not what a mask was drawn about.
const outermost = 0.02

// room returns how much of it a matte has in its masks on the left, on the right,
// above and below, in pixels: from the outermost line on which the masks leave one
// half or more to that behind which 98 % of the matte lies. It is not a number
// where the masks go on beyond the picture; nil where they or the matte are empty.
func room(matte, drawn colour.Plane, factor float64) *[4]float64 {
	held, masks := profileOf(matte), profileOf(drawn)
	if held.sum == 0 || masks.columnMost == nil || slices.Max(masks.columnMost) < 0.5 {
		return nil
	}
	left, right := inmost(held.columns, held.sum)
	above, below := inmost(held.rows, held.sum)
	x0, x1 := reach(masks.columnMost)
	y0, y1 := reach(masks.rowMost)
	return &[4]float64{(left - x0) * factor, (x1 - right) * factor, (above - y0) * factor, (y1 - below) * factor}
}

// A profile is what a plane holds by columns and by rows.
type profile struct {
	columns, rows       []float64 // sums
	columnMost, rowMost []float32
	sum                 float64
}

func profileOf(p colour.Plane) profile {
	f := profile{make([]float64, p.W), make([]float64, p.H), make([]float32, p.W), make([]float32, p.H), 0}
	for y := range p.H {
		for x, v := range p.Row(y) {
			if v == 0 {
				continue
			}
			f.columns[x] += float64(v)
			f.rows[y] += float64(v)
			f.columnMost[x] = max(f.columnMost[x], v)
			f.rowMost[y] = max(f.rowMost[y], v)
		}
		f.sum += f.rows[y]
	}
	return f
}

// inmost returns where, along lines that hold as much as given, all but outermost
// of the sum begins and ends.
func inmost(lines []float64, sum float64) (low, high float64) {
	end := func(line func(i int) float64) float64 {
		left := outermost * sum
		for i := range lines {
			if v := line(i); v < left {
				left -= v
			} else {
				return float64(i) + left/v
			}
		}
		return float64(len(lines))
	}
	n := len(lines)
	return end(func(i int) float64 { return lines[i] }), float64(n) - end(func(i int) float64 { return lines[n-1-i] })
}

// reach returns where the masks begin and end; not a number at the picture's side.
func reach(most []float32) (low, high float64) {
	in := func(v float32) bool { return v >= 0.5 }
	first := slices.IndexFunc(most, in)
	last := len(most)
	for !in(most[last-1]) {
		last--
	}
	low, high = float64(first), float64(last)
	if first == 0 {
		low = math.NaN()
	}
	if last == len(most) {
		high = math.NaN()
	}
	return low, high
}
