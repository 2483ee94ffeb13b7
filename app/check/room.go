package check

import (
	"context"
	"math"
	"slices"

	"halocline/app/study"
	"halocline/colour"
)

// A Room is how much of it a matte has in a keep mask, in pixels of the source: on
// the left, on the right, above and below. It is not a number where the mask goes
// on beyond the frame.
type Room struct {
	Mask  int // its id
	Sides [4]float64
}

// outermost is the share of a matte that may lie nearer to a side than its room
// counts from: a few specks are not what a mask was drawn about.
const outermost = 0.02

// rooms measures the room in each keep mask that works: from the outermost line on
// which it weighs one half or more to that behind which 98 % of the matte within it
// lies. A mask in which there is nothing has none.
func (j *judge) rooms(ctx context.Context, f *Frame, now *moment) error {
	var weights colour.Plane
	for i := range j.Settings.Masks {
		m := &j.Settings.Masks[i]
		if m.Kind != study.Keep || !m.Works(f.Number) {
			continue
		}
		shape := m.At(f.Number)
		shape.Opacity = 1
		if err := shape.Draw(ctx, &weights, now.region(), 1); err != nil {
			return err
		}
		if sides, ok := room(now.matte, weights, float64(max(j.Factor, 1))); ok {
			f.Rooms = append(f.Rooms, Room{m.ID, sides})
		}
	}
	return nil
}

// room measures the room of a matte in one mask.
func room(matte, mask colour.Plane, factor float64) (sides [4]float64, ok bool) {
	p := profileOf(matte, mask)
	if p.sum == 0 {
		return sides, false
	}
	left, right := inmost(p.columns, p.sum)
	above, below := inmost(p.rows, p.sum)
	x0, x1 := reach(p.inColumn)
	y0, y1 := reach(p.inRow)
	return [4]float64{(left - x0) * factor, (x1 - right) * factor, (above - y0) * factor, (y1 - below) * factor}, true
}

// A profile is what a matte holds within a mask, by columns and by rows, and on
// which of them the mask is.
type profile struct {
	columns, rows   []float64 // sums
	inColumn, inRow []bool
	sum             float64
}

func profileOf(matte, mask colour.Plane) profile {
	f := profile{make([]float64, matte.W), make([]float64, matte.H), make([]bool, matte.W), make([]bool, matte.H), 0}
	for y := range matte.H {
		row := matte.Row(y)
		for x, w := range mask.Row(y) {
			if w < 0.5 {
				continue
			}
			f.inColumn[x], f.inRow[y] = true, true
			v := float64(row[x])
			f.columns[x] += v
			f.rows[y] += v
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

// reach returns where a mask begins and ends; not a number at the picture's side.
func reach(in []bool) (low, high float64) {
	first := slices.Index(in, true)
	last := len(in)
	for !in[last-1] {
		last--
	}
	low, high = float64(first), float64(last)
	if first == 0 {
		low = math.NaN()
	}
	if last == len(in) {
		high = math.NaN()
	}
	return low, high
}
