package mask

import (
	"cmp"
	"slices"
)

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
	g.sortEnds()
	g.first = make([]int, 0, len(all)+1) // most nodes join two edges
	for i, end := range g.ends {
		if i == 0 || g.spot(end) != g.spot(g.ends[i-1]) {
			g.first = append(g.first, i)
		}
		g.nodes[end/2][end%2] = len(g.first) - 1
	}
	g.first = append(g.first, len(g.ends))
	return g
}

// sortEnds orders all ends by place: the a's, which are in order with their
// edges, and the b's.
func (g *graph) sortEnds() {
	n := len(g.edges)
	b := make([]int, n)
	for i := range b {
		b[i] = i
	}
	slices.SortFunc(b, func(i, j int) int { return g.edges[i].b.compare(g.edges[j].b) })
	i, j := 0, 0
	for k := range g.ends {
		if j == n || i < n && g.edges[i].a.compare(g.edges[b[j]].b) <= 0 {
			g.ends[k] = 2 * i
			i++
		} else {
			g.ends[k] = 2*b[j] + 1
			j++
		}
	}
}

func (g *graph) spot(end int) spot {
	if end%2 == 0 {
		return g.edges[end/2].a
	}
	return g.edges[end/2].b
}

func (g *graph) at(node int) []int { return g.ends[g.first[node]:g.first[node+1]] }

// windings returns for every edge the winding number where det is positive. It
// is counted for one edge of those that hang together; at a node, it changes
// from sector to sector by the turns of the edges between.
func (g *graph) windings() []int {
	out := make([]int, len(g.edges))
	known := make([]bool, len(g.edges))
	passed := make([]bool, len(g.first)-1)
	var next []int
	for i := range g.edges {
		if known[i] {
			continue
		}
		out[i], known[i] = g.windingAt(i), true
		next = append(next, g.nodes[i][0], g.nodes[i][1])
		for len(next) > 0 {
			node := next[len(next)-1]
			next = next[:len(next)-1]
			if passed[node] {
				continue
			}
			passed[node] = true
			g.around(node, out, known)
			for _, end := range g.at(node) {
				if far := g.nodes[end/2][1-end%2]; !passed[far] {
					next = append(next, far)
				}
			}
		}
	}
	return out
}

// around gives all edges at a node their windings, from one that has its own.
func (g *graph) around(node int, out []int, known []bool) {
	ends := g.at(node)
	if len(ends) > 2 {
		slices.SortFunc(ends, func(p, q int) int { return angle(g.outward(p), g.outward(q)) })
	}
	start := slices.IndexFunc(ends, func(end int) bool { return known[end/2] })
	sector := 0 // winding of the sector that follows an edge
	for k := range ends {
		end := ends[(start+k)%len(ends)]
		e, turns := end/2, g.edges[end/2].turns
		if end%2 == 0 { // we leave along a to b: det is positive in the sector that follows
			if k > 0 {
				out[e] = sector - turns
			}
			sector = out[e]
		} else {
			if k > 0 {
				out[e] = sector
			}
			sector = out[e] + turns
		}
		known[e] = true
	}
}

// outward returns the direction of an edge away from one of its ends.
func (g *graph) outward(end int) spot {
	e := &g.edges[end/2]
	if end%2 == 0 {
		return e.b.minus(e.a)
	}
	return e.a.minus(e.b)
}

// angle orders directions by their angle from the x axis toward the y axis.
func angle(u, v spot) int {
	below := func(d spot) int { // 1 for angles of 180 degrees on
		if d.y < 0 || d.y == 0 && d.x < 0 {
			return 1
		}
		return 0
	}
	return cmp.Or(below(u)-below(v), -signOf(det(u, v)))
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
	a := &area{make([]border, 0, len(g.edges)), make([]corner, 0, len(g.first))}
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
