package mask

import (
	"fmt"
	"math"
	"slices"
)

// InsertPoint gives the key that counts on a frame, and all that have its points, one
// more, on the outline between point side, counted from 0, and the next: at the share u
// in (0,1) of the way. It returns by how much that moves the outline in the key where it does so most,
// in pixels.
//
// A straight outline stays where it is. A rounded one passes through the new
// point as before, but its neighbours now bend towards that: between points
// spaced evenly by s pixels the outline moves by 1.5 to 2 % of s where u is
// 0.5, by more where u is near an end or the points are spaced unevenly.
func (t *Track) InsertPoint(frame, side int, u float64) (moved float64, err error) {
	from, to := t.runAt(frame)
	if err := t.hasPoint(from, side); err != nil {
		return 0, err
	}
	if !(u > 0 && u < 1) {
		return 0, fmt.Errorf("mask: new point is at %v of its side, want more than 0 and less than 1", u)
	}
	for i := from; i < to; i++ {
		before := t.shape(t.Keys[i])
		after := before
		after.Points = slices.Insert(slices.Clone(before.Points), side+1, before.OnSide(side, u))
		if t.Rounded {
			moved = max(moved, movedBetween(before, after, side))
		}
		t.Keys[i].Points = after.Points
	}
	return moved, nil
}

// OnSide returns the point of the outline at the share u in [0,1] of the way
// from point side, counted from 0, to the next. On a rounded outline u is the
// curve's parameter, which does not run evenly along it.
func (s Shape) OnSide(side int, u float64) Point {
	a, b := s.Points[side], s.Points[(side+1)%len(s.Points)]
	if !s.Rounded {
		return Point{a.X + float64(u*(b.X-a.X)), a.Y + float64(u*(b.Y-a.Y))}
	}
	return a.plus(s.arc(side).at(u))
}

// arc returns the arc of a rounded outline from point side to the next.
func (s Shape) arc(side int) arc {
	n := len(s.Points)
	at := func(i int) spot { return spotOf(s.Points[(i+n)%n]) }
	return arcOf(at(side-1), at(side), at(side+1), at(side+2))
}

// movedBetween returns how far apart two rounded outlines are, where after has
// one more point than before, on its given side: the side and its neighbours
// are all that moves.
func movedBetween(before, after Shape, side int) float64 {
	n := len(before.Points)
	first, firstAfter := (side+n-1)%n, side-1
	if side == 0 {
		firstAfter = n // the last of n+1
	}
	p, q := before.stretch(first, 3), after.stretch(firstAfter, 4)
	return max(farthest(p, q), farthest(q, p))
}

// stretch returns places along sides of a rounded outline.
func (s Shape) stretch(first, sides int) []Point {
	const chords = 24 // they leave an arc by 1/500 of what a side bends
	var out []Point
	n := len(s.Points)
	for k := range sides {
		i := (first + k) % n
		c := s.arc(i)
		for j := range chords {
			out = append(out, s.Points[i].plus(c.at(float64(j)/chords)))
		}
	}
	return append(out, s.Points[(first+sides)%n])
}

// farthest returns the largest distance from a place of p to the chain q.
func farthest(p, q []Point) float64 {
	worst := 0.0
	for _, at := range p {
		best := math.Inf(1)
		for i := range len(q) - 1 {
			best = min(best, toChord(at, q[i], q[i+1]))
		}
		worst = max(worst, best)
	}
	return worst
}

// toChord returns the distance of p from the straight piece from a to b.
func toChord(p, a, b Point) float64 {
	d, r := Point{b.X - a.X, b.Y - a.Y}, Point{p.X - a.X, p.Y - a.Y}
	u := 0.0
	if n := along(d, d); n > 0 {
		u = min(max(along(r, d)/n, 0), 1)
	}
	return length(Point{r.X - float64(u*d.X), r.Y - float64(u*d.Y)})
}
