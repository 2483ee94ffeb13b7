package check

import (
	"context"
	"math"
	"strconv"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// lines are the shares of a matte behind which its place in a mask is looked for.
// What comes and goes at one end of it moves the outer ones alone; a mask that was
// moved moves all.
var lines = [...]float64{0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 0.98}

// A seat is where a matte lies in a keep mask: for each of lines, how far from the
// middle of the mask's box all but that share of it begins, across and down, as a
// share of the box.
type seat struct {
	mask int        // its id
	size [2]float64 // of the box, in pixels of the source
	at   [2][len(lines)]float64
	// whole says that the matte does not go on beyond the frame: of what does, nobody
	// knows where it lies.
	whole [2]bool
}

// leaves is how much a matte holds of the frame's first or last line, in pixels, where
// it goes on beyond: more than a speck.
const leaves = 3

// seats finds where the matte lies in each keep mask that works and holds something.
func (j *judge) seats(ctx context.Context, f *Frame, now *moment) error {
	var weights colour.Plane
	region, factor := now.region(), float64(max(j.Factor, 1))
	for i := range j.Settings.Masks {
		m := &j.Settings.Masks[i]
		if m.Kind != study.Keep || !m.Works(f.Number) {
			continue
		}
		shape := m.At(f.Number)
		shape.Opacity = 1
		low, high := boxOf(shape)
		if err := shape.Draw(ctx, &weights, region, 1); err != nil {
			return err
		}
		columns, rows, sum := profiles(now.matte, weights)
		if sum == 0 {
			continue
		}
		p := seat{mask: m.ID, size: [2]float64{high.X - low.X, high.Y - low.Y}}
		corner, middle := [2]int{region.X0, region.Y0}, [2]float64{(low.X + high.X) / 2, (low.Y + high.Y) / 2}
		for axis, held := range [][]float64{columns, rows} {
			p.whole[axis] = max(held[0], held[len(held)-1]) < leaves
			for k, share := range lines {
				v := float64(corner[axis]) + quantile(held, share*sum)*factor
				p.at[axis][k] = (v - middle[axis]) / p.size[axis]
			}
		}
		f.seats = append(f.seats, p)
	}
	return nil
}

// boxOf is the box about a shape without its feather.
func boxOf(s mask.Shape) (low, high mask.Point) {
	s.Outer = 0
	return s.Bounds()
}

// profiles are what a matte holds within a mask, by columns and by rows.
func profiles(matte, weights colour.Plane) (columns, rows []float64, sum float64) {
	columns, rows = make([]float64, matte.W), make([]float64, matte.H)
	for y := range matte.H {
		row := matte.Row(y)
		for x, w := range weights.Row(y) {
			if w >= 0.5 {
				v := float64(row[x])
				columns[x] += v
				rows[y] += v
			}
		}
		sum += rows[y]
	}
	return columns, rows, sum
}

// quantile returns up to where values, each spread evenly over 1, sum up to as much.
func quantile(values []float64, as float64) float64 {
	for i, v := range values {
		if v >= as && v > 0 {
			return float64(i) + as/v
		}
		as -= v
	}
	return float64(len(values))
}

// A Shift is how far a mask lies from where it usually does about what it holds, in
// pixels of the source; 0 along which the matte goes on beyond the frame.
type Shift struct {
	Mask        int // its id
	Right, Down float64
}

// compareShifts finds where each mask lies otherwise than it usually does about what
// it holds: how far each line lies from its median over the clip, the median of them.
func compareShifts(all []Judged) {
	type line struct{ mask, axis, line int }
	values := map[line][]float64{}
	eachSeat(all, func(_ *Judged, p *seat) {
		for axis := range p.at {
			for k, v := range p.at[axis] {
				if l := (line{p.mask, axis, k}); p.whole[axis] {
					values[l] = append(values[l], v)
				}
			}
		}
	})
	usual := map[line]float64{}
	for l, v := range values {
		usual[l] = median(v)
	}
	eachSeat(all, func(j *Judged, p *seat) {
		var shift [2]float64
		for axis := range p.at {
			if !p.whole[axis] {
				continue
			}
			var off [len(lines)]float64
			for k, v := range p.at[axis] {
				// The matte lies to the left of a mask that was moved to the right.
				off[k] = (usual[line{p.mask, axis, k}] - v) * p.size[axis]
			}
			shift[axis] = median(off[:])
		}
		j.Shifts = append(j.Shifts, Shift{p.mask, shift[0], shift[1]})
	})
	standByShift(all)
}

func eachSeat(all []Judged, do func(j *Judged, p *seat)) {
	for i := range all {
		for k := range all[i].seats {
			do(&all[i], &all[i].seats[k])
		}
	}
}

// standByShift notes which frames stand out by a shift, to either side.
func standByShift(all []Judged) {
	sizes := map[int][2][]float64{} // of shifts, by mask and axis
	for i := range all {
		for _, s := range all[i].Shifts {
			of := sizes[s.Mask]
			of[0], of[1] = append(of[0], math.Abs(s.Right)), append(of[1], math.Abs(s.Down))
			sizes[s.Mask] = of
		}
	}
	deviation := map[int][2]float64{}
	for id, of := range sizes {
		deviation[id] = [2]float64{median(of[0]), median(of[1])}
	}
	for i := range all {
		j := &all[i]
		least := traitTable[byShift].floor * float64(j.width)
		for k, s := range j.Shifts {
			d := deviation[s.Mask]
			by := max(math.Abs(s.Right)/max(d[0], least), math.Abs(s.Down)/max(d[1], least)) / normal
			if by > j.parts[byShift] {
				j.stands(byShift, by)
				j.shifted = k
			}
		}
	}
}

// words says how a mask lies.
func (s Shift) words() string {
	say := func(v float64, to, from string) string {
		if v < 0 {
			to = from
		}
		return strconv.FormatFloat(math.Abs(v), 'f', 0, 64) + " px " + to
	}
	across, down := say(s.Right, "to the right", "to the left"), say(s.Down, "down", "up")
	switch {
	case math.Abs(s.Down) < math.Abs(s.Right)/3:
		return across
	case math.Abs(s.Right) < math.Abs(s.Down)/3:
		return down
	}
	return across + " and " + down
}
