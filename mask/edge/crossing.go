package edge

import (
	"cmp"
	"math"
	"slices"

	"halocline/mask"
)

// A Crossing is a stretch of the drawn line that the subject may cross, so that the outline
// cuts it off: the found edge lies on the line or close below it, though the picture has no
// edge there, and the colours beyond the line are the subject's.
type Crossing struct {
	At     mask.Point // its middle, in pixels of the source
	Length float64    // pixels of the source
}

// Lengths, in pixels of a picture of 1080 lines or less, and what counts as no edge. They were
// chosen on outlines of the demo scene. Where the subject crosses the line, three quarters of the
// places have an edge below 0.53 of the usual one and a ratio above 1.1; where it ends, nine
// tenths have an edge above 0.43 of the usual one and a ratio below 0.1. The found edge may lie
// a little below the line there, since that is where the search expects an edge: up to 6 px
// find a quarter more crossings than up to 1.5 px. TestOutlinesThatCutAreTold counts them.
const (
	lineNear     = 6   // from the line, that the found edge is at most
	leastStretch = 18  // of a crossing, as averaged: a little longer than this in truth
	bridged      = 3   // that break off no stretch
	alongMean    = 8   // on both sides, over which is averaged along the edge
	tangentReach = 5   // on both sides, by which the edge's direction is told
	besideFrom   = 3   // from the edge: nearer, colours are mixed
	besideTo     = 5   // to here colours beside the edge are read
	weakEdge     = 0.6 // of the usual edge's contrast: less is none
	leastUsual   = 5   // CIELAB units: contrast of the usual edge, at least
	alikeInside  = 1   // logarithm of how much likelier the subject has the colours beyond
)

// crossings finds where the subject may cross the drawn line. inside and outside are what
// colours were learnt on both sides.
func (g *ground) crossings(loops [][]mask.Point, inside, outside mixture) (all []Crossing) {
	if inside == nil || outside == nil {
		return nil
	}
	var sides [][]beside
	for _, loop := range loops {
		sides = append(sides, g.besides(evenly(loop, g.unit), inside, outside))
	}
	weak := weakEdge * usualContrast(sides)
	for _, s := range sides {
		all = append(all, crossingsOf(s, weak, g.unit)...)
	}
	slices.SortStableFunc(all, func(a, b Crossing) int { return cmp.Compare(b.Length, a.Length) })
	return all
}

// evenly returns points of a closed line, so far apart along it.
func evenly(loop []mask.Point, apart float64) (points []mask.Point) {
	next := 0. // from a on
	for i, a := range loop {
		b := loop[(i+1)%len(loop)]
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		for ; next < length; next += apart {
			k := next / length
			points = append(points, mask.Point{X: a.X + k*(b.X-a.X), Y: a.Y + k*(b.Y-a.Y)})
		}
		next -= length
	}
	return points
}

// A beside is what lies beside a point of the found edge.
type beside struct {
	at       mask.Point
	known    bool    // the picture is there on both sides
	on       bool    // the drawn line, or near it
	contrast float64 // of the mean colours on both sides, beyond the line too, in CIELAB
	ratio    float64 // logarithm of how much likelier the subject has the colours beyond

	colours [2]vector // within, beyond
}

// besides looks beside the points of a found edge, which lie along it one length apart, with
// the inside to the right.
func (g *ground) besides(points []mask.Point, inside, outside mixture) []beside {
	all := make([]beside, len(points))
	n := len(points)
	for i, p := range points {
		a, b := points[(i+n-tangentReach%n)%n], points[(i+tangentReach)%n]
		all[i] = g.besideOf(p, b.X-a.X, b.Y-a.Y, inside, outside)
	}
	return averaged(all)
}

// besideOf looks beside a point of an edge that leads somewhere.
func (g *ground) besideOf(p mask.Point, dx, dy float64, inside, outside mixture) beside {
	out := beside{at: p}
	length := math.Hypot(dx, dy)
	if length == 0 {
		return out
	}
	nx, ny := dy/length*g.unit, -dx/length*g.unit // outward
	pixel := func(k float64) (i int, ok bool) {
		x, y := whole(p.X+k*nx)-g.area.Min.X, whole(p.Y+k*ny)-g.area.Min.Y
		if x < 0 || y < 0 || x >= g.w || y >= g.h {
			return 0, false
		}
		return y*g.w + x, g.place[y*g.w+x] != offFrame
	}
	line := 0 // how far the drawn line is, where it is near
	for k := range lineNear + 1 {
		if i, ok := pixel(float64(k)); ok && !g.filled[i] {
			out.on, line = true, k
			break
		}
	}
	const deep = besideTo - besideFrom + 1
	for k := besideFrom; k <= besideTo; k++ {
		within, ok := pixel(-float64(k))
		beyond, also := pixel(float64(line + k))
		if !ok || !also {
			return out
		}
		for c := range out.colours[0] {
			out.colours[0][c] += float64(g.lab[within][c]) / deep
			out.colours[1][c] += float64(g.lab[beyond][c]) / deep
		}
		out.ratio += ratio(inside, outside, g.lab[beyond].vector()) / deep
	}
	out.known = true
	return out
}

// averaged returns what lies beside a closed edge, each place with those along it on both
// sides that are known.
func averaged(all []beside) []beside {
	out := slices.Clone(all)
	n := len(all)
	for i := range out {
		var sum beside
		count := 0.
		for k := i - alongMean; k <= i+alongMean; k++ {
			if b := &all[((k%n)+n)%n]; b.known {
				count++
				sum.ratio += b.ratio
				for side := range sum.colours {
					for c, v := range b.colours[side] {
						sum.colours[side][c] += v
					}
				}
			}
		}
		if count == 0 {
			continue
		}
		square := 0.
		for c := range sum.colours[0] {
			d := (sum.colours[0][c] - sum.colours[1][c]) / count
			square += d * d
		}
		out[i].contrast, out[i].ratio = math.Sqrt(square), sum.ratio/count
	}
	return out
}

// usualContrast is the median contrast of the found edge where it lies off the drawn line.
func usualContrast(sides [][]beside) float64 {
	var all []float64
	for _, s := range sides {
		for _, b := range s {
			if b.known && !b.on {
				all = append(all, b.contrast)
			}
		}
	}
	if len(all) == 0 {
		return leastUsual
	}
	slices.Sort(all)
	return max(leastUsual, all[len(all)/2])
}

// crossingsOf returns the crossings of a closed edge.
func crossingsOf(all []beside, weak, unit float64) (found []Crossing) {
	n := len(all)
	crosses := func(i int) bool {
		b := &all[i%n]
		return b.known && b.on && b.contrast < weak && b.ratio > alikeInside
	}
	// From a place on that no stretch goes over, where there is one.
	start, free := 0, 0
	for i := 0; i < 2*n && free <= bridged; i++ {
		free++
		if crosses(i) {
			free = 0
		}
		start = i % n
	}
	for i := start; i < start+n; {
		if !crosses(i) {
			i++
			continue
		}
		last := i
		for k := i + 1; k < start+n && k-last <= bridged+1; k++ {
			if crosses(k) {
				last = k
			}
		}
		if count := last - i + 1; count >= leastStretch {
			found = append(found, Crossing{all[(i+last)/2%n].at, float64(count) * unit})
		}
		i = last + 1
	}
	return found
}
