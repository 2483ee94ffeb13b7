package batch

import (
	"maps"
	"math"
	"slices"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// The keep mask that the scene's sand gets: a rough line above the open seabed,
// and the lower part of the frame below it.
const (
	seabedName     = "seabed"
	seabedVertices = 24
	// Open is where, about a pixel of sand, seabedShare of a square of the
	// frame's width over seabedEye is sand: what shows between leaves is not.
	seabedEye   = 31
	seabedShare = 0.7
	// seabedClear is how far the line stays off open sand, in pixels, a little
	// more than 8 as swimmerClear.
	seabedClear   = 9
	seabedFeather = 4
)

// addSeabed gives the matte the mask, by the line of each frame that has one, and
// the edge that goes with it: where a mask keeps leaves and water out the ranges
// may be taken widely, and glints and small shadows are filled.
func addSeabed(s *study.Study, m *study.Matte, lines map[int][]mask.Point) {
	var track *study.Mask
	for _, frame := range slices.Sorted(maps.Keys(lines)) {
		key := study.MaskKey{Frame: frame, Points: lines[frame], Outer: seabedFeather, Opacity: 1}
		switch {
		case key.Points == nil:
		case track == nil:
			track = s.AddMask(m, seabedName, study.Keep, key)
		default:
			track.SetKey(key)
		}
	}
	if track == nil {
		return
	}
	m.Edge.Despeckle.Fix(200)
	m.Edge.Harden.Fix(0.7)
	m.Edge.About.Fix(0.15)
	m.Edge.Grow.Fix(2)
}

// openTop returns the top edge of the uppermost open sand in every column, the
// frame's height where there is none.
func openTop(truth colour.Plane) []float64 {
	side := max(truth.W/seabedEye, 1)
	around := squareMeans(truth, side/2)
	top := make([]float64, truth.W)
	for x := range top {
		y := 0
		for y < truth.H && (truth.Row(y)[x] <= 0.5 || around.Row(y)[x] < seabedShare) {
			y++
		}
		top[x] = float64(y)
	}
	return top
}

// squareMeans returns the mean of the square that reaches half pixels each way,
// of what of it lies in the frame.
func squareMeans(p colour.Plane, half int) colour.Plane {
	across := colour.NewPlane(p.W, p.H)
	for y := range p.H {
		lineMeans(across.Row(y), p.Row(y), half)
	}
	out := colour.NewPlane(p.W, p.H)
	column, means := make([]float32, p.H), make([]float32, p.H)
	for x := range p.W {
		for y := range column {
			column[y] = across.Row(y)[x]
		}
		lineMeans(means, column, half)
		for y, v := range means {
			out.Row(y)[x] = v
		}
	}
	return out
}

func lineMeans(dst, src []float32, half int) {
	sums := make([]float64, len(src)+1)
	for i, v := range src {
		sums[i+1] = sums[i] + float64(v)
	}
	for i := range dst {
		lo, hi := max(0, i-half), min(len(src), i+half+1)
		dst[i] = float32((sums[hi] - sums[lo]) / float64(hi-lo))
	}
}

// lineAbove returns what lies below a line that stays seabedClear above top:
// seabedVertices in all, evenly spread from side to side, and the frame's lower
// corners. nil where top is nowhere in the frame.
func lineAbove(top []float64, h int) []mask.Point {
	limit := clearOf(top, seabedClear)
	w := float64(len(top))
	points := make([]mask.Point, seabedVertices-2, seabedVertices)
	stride := w / float64(len(points)-1)
	highest := float64(h)
	for i := range points {
		x := stride * float64(i)
		points[i] = mask.Point{X: tenth(x), Y: math.Inf(1)}
		for _, y := range limit[int(max(0, x-stride)):int(min(w, x+stride))] {
			points[i].Y = min(points[i].Y, y)
		}
		highest = min(highest, points[i].Y)
	}
	if highest >= float64(h)-seabedClear {
		return nil
	}
	for i := range points {
		points[i].Y = math.Floor(10*lowest(points, i, limit)) / 10
	}
	return append(points, mask.Point{X: w, Y: float64(h)}, mask.Point{Y: float64(h)})
}

// clearOf returns, for every column, how far down a point may lie that is clear
// of everything below top.
func clearOf(top []float64, clear int) []float64 {
	out := make([]float64, len(top))
	for x := range top {
		out[x] = top[x] - float64(clear)
		for d := -clear; d <= clear; d++ {
			if x+d >= 0 && x+d < len(top) {
				out[x] = min(out[x], top[x+d]-math.Sqrt(float64(clear*clear-d*d)))
			}
		}
	}
	return out
}

// lowest returns how far down vertex i may lie while the lines to its neighbours
// stay above limit.
func lowest(points []mask.Point, i int, limit []float64) float64 {
	y, here := math.Inf(1), points[i]
	for _, j := range []int{i - 1, i + 1} {
		if j < 0 || j == len(points) {
			continue
		}
		next := points[j]
		for x := int(min(here.X, next.X)); x < int(max(here.X, next.X)); x++ {
			if f := (float64(x) + 0.5 - next.X) / (here.X - next.X); f > 0.01 {
				y = min(y, (limit[x]-next.Y*(1-f))/f)
			}
		}
	}
	return max(y, here.Y)
}
