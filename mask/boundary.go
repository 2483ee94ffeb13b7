package mask

import "slices"

// A border is a straight piece of the edge of what is filled, which lies where
// det(to-from, .) is positive.
type border struct{ from, to spot }

// A corner is where one border ends and another begins. Where more than two
// meet, in and out are any of them.
type corner struct {
	at      spot
	in, out spot // directions of a border that ends here and of one that begins here
	simple  bool // just two meet
}

// An area is what an outline fills: its edge, without the pieces of the
// outline that lie inside. Borders do not cross or touch except in their ends,
// and form closed chains.
type area struct {
	borders []border
	corners []corner
}

// fill returns what the closed polygon fills by non-zero winding.
func fill(corners []spot) (*area, error) {
	all, err := planar(edges(corners))
	if err != nil {
		return nil, err
	}
	g := graphOf(all)
	return g.area(g.windings()), nil
}

// A graph is a set of edges that meet in their ends, and the nodes there.
type graph struct {
	edges []edge
	nodes [][2]int // of every edge: the nodes of its a and its b
	ends  []int    // 2 edge + (1 for b), gathered by node
	first []int    // node n has ends[first[n]:first[n+1]]
}

func graphOf(all []edge) *graph {
	g := &graph{edges: all, nodes: make([][2]int, len(all)), ends: make([]int, 2*len(all))}
	for i := range g.ends {
		g.ends[i] = i
	}
	slices.SortFunc(g.ends, func(p, q int) int { return g.spot(p).compare(g.spot(q)) })
	for i, end := range g.ends {
		if i == 0 || g.spot(end) != g.spot(g.ends[i-1]) {
			g.first = append(g.first, i)
		}
		g.nodes[end/2][end%2] = len(g.first) - 1
	}
	g.first = append(g.first, len(g.ends))
	return g
}

func (g *graph) spot(end int) spot {
	if end%2 == 0 {
		return g.edges[end/2].a
	}
	return g.edges[end/2].b
}

func (g *graph) at(node int) []int { return g.ends[g.first[node]:g.first[node+1]] }

// windings returns for every edge the winding number where det is positive.
// It is the same all along a chain of edges between two meetings.
func (g *graph) windings() []int {
	out := make([]int, len(g.edges))
	known := make([]bool, len(g.edges))
	for i := range g.edges {
		if known[i] {
			continue
		}
		out[i], known[i] = g.windingAt(i), true
		g.follow(2*i+1, out, known)
		g.follow(2*i, out, known)
	}
	return out
}

// follow carries the winding number of the edge that arrives at end on, as
// long as the chain has no choice.
func (g *graph) follow(end int, out []int, known []bool) {
	left := out[end/2] // on the left of the way we go
	if end%2 == 0 {
		left += g.edges[end/2].turns
	}
	for {
		meeting := g.at(g.nodes[end/2][end%2])
		if len(meeting) != 2 {
			return
		}
		next := meeting[0]
		if next == end {
			next = meeting[1]
		}
		e := next / 2
		if known[e] {
			return
		}
		out[e], known[e] = left, true
		if next%2 == 1 { // we go from b to a
			out[e] -= g.edges[e].turns
		}
		end = next ^ 1
	}
}

// windingAt returns the winding number next to the middle of edge i, where det
// is positive: the turns of all edges to the left of it, in the row just below
// the middle.
func (g *graph) windingAt(i int) int {
	e := g.edges[i]
	middle := spot{e.a.x + e.b.x, e.a.y + e.b.y} // doubled, to be a grid point
	sum := 0
	for j := range g.edges {
		f := &g.edges[j]
		if 2*f.a.y > middle.y {
			break // sorted by row
		}
		if 2*f.b.y <= middle.y || j == i {
			continue
		}
		if det(f.b.minus(f.a), spot{middle.x - 2*f.a.x, middle.y - 2*f.a.y}) < 0 {
			sum += f.turns
		}
	}
	return sum
}

// area keeps the edges between filled and not filled.
func (g *graph) area(windings []int) *area {
	a := &area{}
	nodes := len(g.first) - 1
	in, out, meet := make([]int, nodes), make([]int, nodes), make([]int, nodes)
	for i, e := range g.edges {
		left, right := windings[i], windings[i]+e.turns
		if (left == 0) == (right == 0) {
			continue
		}
		b, from, to := border{e.a, e.b}, g.nodes[i][0], g.nodes[i][1]
		if left == 0 {
			b, from, to = border{e.b, e.a}, to, from
		}
		a.borders = append(a.borders, b)
		out[from], in[to] = len(a.borders), len(a.borders)
		meet[from]++
		meet[to]++
	}
	for n := range nodes {
		if meet[n] > 0 {
			p, q := a.borders[in[n]-1], a.borders[out[n]-1]
			a.corners = append(a.corners, corner{q.from, p.to.minus(p.from), q.to.minus(q.from), meet[n] == 2})
		}
	}
	return a
}
