package mask

import (
	"cmp"
	"errors"
	"slices"
)

// Bounds on the work of cutting an outline where it meets itself. Each round
// cuts and moves pieces by at most half a grid unit; a handful of
// rounds ends it. An outline drawn by hand meets itself some dozen times.
const (
	maxRounds = 50
	maxCuts   = 1_000_000
)

var errTangled = errors.New("outline crosses itself too often, want fewer points or crossings")

// An edge is a straight piece of an outline from a to b, a before b. Crossing
// it from where det is positive to where it is negative adds turns to the
// winding number. An edge with 0 turns separates nothing.
type edge struct {
	a, b  spot
	turns int
}

func edgeOf(from, to spot, turns int) edge {
	if to.before(from) {
		return edge{to, from, -turns}
	}
	return edge{from, to, turns}
}

func (e edge) compare(f edge) int {
	return cmp.Or(e.a.compare(f.a), e.b.compare(f.b))
}

// edges returns the sides of a closed polygon.
func edges(corners []spot) []edge {
	out := make([]edge, 0, len(corners))
	for i, c := range corners {
		if next := corners[(i+1)%len(corners)]; next != c {
			out = append(out, edgeOf(c, next, 1))
		}
	}
	return out
}

// planar cuts edges until they meet in their ends alone, and joins those that
// lie on each other. The result is sorted.
func planar(all []edge) ([]edge, error) {
	all = merge(all)
	for range maxRounds {
		cuts, err := meetings(all)
		if err != nil {
			return nil, err
		}
		if len(cuts) == 0 {
			return all, nil
		}
		all = merge(cutUp(all, cuts))
	}
	return nil, errTangled
}

// merge sorts edges, adds up the turns of equal ones and leaves out those
// that separate nothing.
func merge(all []edge) []edge {
	slices.SortFunc(all, edge.compare)
	out := all[:0]
	for i := 0; i < len(all); {
		sum, j := all[i], i+1
		for ; j < len(all) && all[j].a == sum.a && all[j].b == sum.b; j++ {
			sum.turns += all[j].turns
		}
		if sum.turns != 0 {
			out = append(out, sum)
		}
		i = j
	}
	return out
}

// A cut says that edge number edge goes through at.
type cut struct {
	edge int
	at   spot
}

// meetings returns where edges, sorted, meet other than in their ends.
func meetings(all []edge) ([]cut, error) {
	var cuts []cut
	var active []int // edges that begin no lower than this one and may reach it
	for i, e := range all {
		low, high := min(e.a.x, e.b.x), max(e.a.x, e.b.x)
		kept := active[:0]
		for _, j := range active {
			f := &all[j]
			if f.b.y < e.a.y {
				continue
			}
			kept = append(kept, j)
			if min(f.a.x, f.b.x) <= high && max(f.a.x, f.b.x) >= low {
				cuts = meet(cuts, all, j, i)
			}
		}
		active = append(kept, i)
		if len(cuts) > maxCuts {
			return nil, errTangled
		}
	}
	return cuts, nil
}

// meet appends the cuts that edges i and j make in each other.
func meet(cuts []cut, all []edge, i, j int) []cut {
	e, f := all[i], all[j]
	fa, fb := side(e.a, e.b, f.a), side(e.a, e.b, f.b)
	if fa*fb > 0 {
		return cuts
	}
	ea, eb := side(f.a, f.b, e.a), side(f.a, f.b, e.b)
	if ea*eb > 0 {
		return cuts
	}
	if fa*fb < 0 && ea*eb < 0 {
		at := crossing(e, f)
		return e.cutAt(f.cutAt(cuts, j, at), i, at)
	}
	for _, t := range [...]struct {
		side int
		at   spot
		of   int
	}{{fa, f.a, i}, {fb, f.b, i}, {ea, e.a, j}, {eb, e.b, j}} {
		if t.side == 0 && all[t.of].spans(t.at) {
			cuts = all[t.of].cutAt(cuts, t.of, t.at)
		}
	}
	return cuts
}

// cutAt appends a cut unless it is at an end.
func (e edge) cutAt(cuts []cut, number int, at spot) []cut {
	if at == e.a || at == e.b {
		return cuts
	}
	return append(cuts, cut{number, at})
}

// spans reports whether p, which lies on e's line, lies between its ends.
func (e edge) spans(p spot) bool { return e.a.before(p) && p.before(e.b) }

// crossing returns the grid point nearest to where e and f cross.
func crossing(e, f edge) spot {
	along, across := e.b.minus(e.a), f.b.minus(f.a)
	u := det(f.a.minus(e.a), across) / det(along, across)
	return spot{e.a.x + nearest(u*float64(along.x)), e.a.y + nearest(u*float64(along.y))}
}

// cutUp returns the pieces of edges that are cut, and the others whole.
func cutUp(all []edge, cuts []cut) []edge {
	slices.SortFunc(cuts, func(c, d cut) int {
		if c.edge != d.edge {
			return c.edge - d.edge
		}
		e := &all[c.edge]
		return cmp.Or(cmp.Compare(e.along(c.at), e.along(d.at)), c.at.compare(d.at))
	})
	out := make([]edge, 0, len(all)+len(cuts))
	next := 0
	for i, e := range all {
		from := e.a
		for ; next < len(cuts) && cuts[next].edge == i; next++ {
			if to := cuts[next].at; to != from {
				out = append(out, edgeOf(from, to, e.turns))
				from = to
			}
		}
		if from != e.b {
			out = append(out, edgeOf(from, e.b, e.turns))
		}
	}
	return out
}

// along returns how far along e's direction p lies.
func (e edge) along(p spot) float64 {
	d, q := e.b.minus(e.a), p.minus(e.a)
	return float64(float64(d.x)*float64(q.x)) + float64(float64(d.y)*float64(q.y))
}
