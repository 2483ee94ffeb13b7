package edge

import (
	"context"
	"image"
)

// A network is a flow network over the pixels of a padded grid, as Boykov & Jolly 2001
// build it ("Interactive Graph Cuts", ICCV 1:105-112): each pixel is linked to its eight
// neighbours, and to the source (inside) or the sink (outside). Its least cut is found by
// the algorithm of Boykov & Kolmogorov 2004 ("An Experimental Comparison of
// Min-Cut/Max-Flow Algorithms", IEEE TPAMI 26(9):1124-1137), written from the paper: two
// trees grow from the source and the sink until they touch, flow is sent along the way,
// and what it cuts off looks for a new parent.
type network struct {
	box   image.Rectangle // of the pixels
	w, h  int             // of the grid, with a rim of one pixel that has no links
	nodes []node
	steps [8]int32 // from a node to its neighbours; step 7-d leads back from step d

	first, last int32 // the queue of active nodes, none where it is empty
	orphans     []int32
	late        []int32 // orphans that arose while others were looked after
	time        int32
}

// A node is one pixel.
type node struct {
	room   [8]uint16 // what can still flow to each neighbour
	spare  int32     // what can still come from the source, or, below 0, go to the sink
	stamp  int32     // when dist was known
	next   int32     // in the queue of active nodes; itself where it is the last, none outside
	dist   uint16    // links to the terminal, at most maxDist
	parent int8      // the step to it, or one of the below
	tree   uint8
}

// Parents that are no step.
const (
	atTerminal int8 = 8 + iota
	noParent
	orphan
)

// Trees.
const (
	free uint8 = iota
	inside
	outside
)

const none = -1

// maxRoom is the most that flows between two neighbours at first, so that there is room for
// what flows back.
const maxRoom = 1<<15 - 1

// maxDist is the most that a node keeps of its distance: beyond it ways count alike. Which
// way is taken does not matter to the cut.
const maxDist = 1<<16 - 1

func kept(dist int32) uint16 { return uint16(min(dist, maxDist)) }

// reset makes the network one of a box of pixels without links.
func (g *network) reset(box image.Rectangle) {
	g.box, g.w, g.h = box, box.Dx()+2, box.Dy()+2
	if n := g.w * g.h; cap(g.nodes) < n {
		g.nodes = make([]node, n)
	} else {
		g.nodes = g.nodes[:n]
		clear(g.nodes)
	}
	row := int32(g.w)
	g.steps = [8]int32{-row - 1, -row, -row + 1, -1, 1, row - 1, row, row + 1}
	g.first, g.last, g.time = none, none, 0
	g.orphans, g.late = g.orphans[:0], g.late[:0]
}

// index is the node of pixel (x,y).
func (g *network) index(x, y int) int32 {
	return int32((y-g.box.Min.Y+1)*g.w + x - g.box.Min.X + 1)
}

// prefer adds to what it costs to have a pixel outside, or, where cost is below 0, inside.
func (g *network) prefer(at int32, cost int32) { g.nodes[at].spare += cost }

// link makes it cost so much, at most maxRoom, to cut between a pixel and its neighbour
// in the direction of step d.
func (g *network) link(at int32, d int, cost uint16) {
	g.nodes[at].room[d] = cost
	g.nodes[at+g.steps[d]].room[7-d] = cost
}

// cut finds the least cut, and of all that cost as little the one that has the fewest
// pixels inside. It depends on the network alone, not on the order of the search.
func (g *network) cut(ctx context.Context) error {
	g.plant()
	for rounds := 0; ; rounds++ {
		if rounds&0xfff == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		at := g.take()
		if at == none {
			return nil
		}
		for {
			from, d := g.grow(at)
			if from == none {
				break
			}
			g.time++
			g.send(from, d)
			g.adopt()
			if g.nodes[at].tree == free { // it was cut off
				break
			}
		}
	}
}

// isInside tells on which side of the cut a pixel lies.
func (g *network) isInside(at int32) bool { return g.nodes[at].tree == inside }

// plant makes every pixel with a link to a terminal a root.
func (g *network) plant() {
	for i := range g.nodes {
		n := &g.nodes[i]
		n.next, n.parent, n.tree = none, noParent, free
		switch {
		case n.spare > 0:
			n.tree = inside
		case n.spare < 0:
			n.tree = outside
		default:
			continue
		}
		n.parent, n.dist = atTerminal, 1
		g.activate(int32(i))
	}
}

// activate puts a node into the queue, if it is not in it.
func (g *network) activate(at int32) {
	n := &g.nodes[at]
	if n.next != none {
		return
	}
	n.next = at
	if g.last == none {
		g.first = at
	} else {
		g.nodes[g.last].next = at
	}
	g.last = at
}

// take takes the first active node out of the queue.
func (g *network) take() int32 {
	for g.first != none {
		at := g.first
		n := &g.nodes[at]
		if n.next == at {
			g.first, g.last = none, none
		} else {
			g.first = n.next
		}
		n.next = none
		if n.tree != free {
			return at
		}
	}
	return none
}

// grow lets a node's tree take in its neighbours, until one of the other tree is reached:
// then it returns the link from the inside tree to the outside one.
func (g *network) grow(at int32) (from int32, step int) {
	n := &g.nodes[at]
	for d, step := range g.steps {
		to := at + step
		if uint(to) >= uint(len(g.nodes)) {
			continue
		}
		m := &g.nodes[to]
		if n.tree == inside && n.room[d] == 0 || n.tree == outside && m.room[7-d] == 0 {
			continue
		}
		switch {
		case m.tree == free:
			m.tree, m.parent = n.tree, int8(7-d)
			m.stamp, m.dist = n.stamp, kept(int32(n.dist)+1)
			g.activate(to)
		case m.tree != n.tree:
			g.activate(at) // it may lead further
			if n.tree == inside {
				return at, d
			}
			return to, 7 - d
		case m.stamp <= n.stamp && int32(m.dist) > int32(n.dist)+1: // a shorter way to the terminal
			m.parent, m.stamp, m.dist = int8(7-d), n.stamp, kept(int32(n.dist)+1)
		}
	}
	return none, 0
}

// send sends as much as fits from the source to the sink over a link between the trees.
func (g *network) send(from int32, d int) {
	to := from + g.steps[d]
	most := int32(g.nodes[from].room[d])
	at := from
	for g.nodes[at].parent != atTerminal {
		back := g.nodes[at].parent
		at += g.steps[back]
		most = min(most, int32(g.nodes[at].room[7-back]))
	}
	most = min(most, g.nodes[at].spare)
	at = to
	for g.nodes[at].parent != atTerminal {
		on := g.nodes[at].parent
		most = min(most, int32(g.nodes[at].room[on]))
		at += g.steps[on]
	}
	most = min(most, -g.nodes[at].spare)

	g.flow(from, int8(d), most)
	at = from
	for g.nodes[at].parent != atTerminal {
		back := g.nodes[at].parent
		parent := at + g.steps[back]
		g.flow(parent, 7-back, most)
		if g.nodes[parent].room[7-back] == 0 {
			g.cutOff(at)
		}
		at = parent
	}
	if g.nodes[at].spare -= most; g.nodes[at].spare == 0 {
		g.cutOff(at)
	}
	at = to
	for g.nodes[at].parent != atTerminal {
		on := g.nodes[at].parent
		parent := at + g.steps[on]
		g.flow(at, on, most)
		if g.nodes[at].room[on] == 0 {
			g.cutOff(at)
		}
		at = parent
	}
	if g.nodes[at].spare += most; g.nodes[at].spare == 0 {
		g.cutOff(at)
	}
}

func (g *network) flow(at int32, d int8, much int32) {
	g.nodes[at].room[d] -= uint16(much)
	g.nodes[at+g.steps[d]].room[7-d] += uint16(much)
}

func (g *network) cutOff(at int32) {
	// The parent is still walked over by send: it is an orphan from adopt on.
	g.orphans = append(g.orphans, at)
}

// adopt finds new parents for all that was cut off, or sets it free.
func (g *network) adopt() {
	for _, at := range g.orphans {
		g.nodes[at].parent = orphan
	}
	for len(g.orphans) > 0 {
		g.late = g.late[:0]
		for _, at := range g.orphans {
			g.settle(at)
		}
		g.orphans, g.late = g.late, g.orphans
	}
}

// settle finds the nearest parent for an orphan.
func (g *network) settle(at int32) {
	n := &g.nodes[at]
	best, near := int8(noParent), int32(1<<30)
	for d, step := range g.steps {
		to := at + step
		if uint(to) >= uint(len(g.nodes)) {
			continue
		}
		m := &g.nodes[to]
		if m.tree != n.tree || n.tree == inside && m.room[7-d] == 0 || n.tree == outside && n.room[d] == 0 {
			continue
		}
		if far := g.distance(to); far < near {
			best, near = int8(d), far
		}
	}
	if best != noParent {
		n.parent, n.stamp, n.dist = best, g.time, kept(near+1)
		return
	}
	for d, step := range g.steps {
		to := at + step
		if uint(to) >= uint(len(g.nodes)) {
			continue
		}
		m := &g.nodes[to]
		if m.tree != n.tree {
			continue
		}
		if n.tree == inside && m.room[7-d] > 0 || n.tree == outside && n.room[d] > 0 {
			g.activate(to)
		}
		if m.parent == int8(7-d) {
			m.parent = orphan
			g.late = append(g.late, to)
		}
	}
	n.tree, n.parent = free, noParent
}

// distance is how many links lead from a node to its terminal; very many where it hangs on
// an orphan. The way is remembered.
func (g *network) distance(at int32) int32 {
	const far = int32(1 << 30)
	steps, i := int32(0), at
	for {
		n := &g.nodes[i]
		if n.stamp == g.time && n.parent < orphan && n.parent != noParent {
			steps += int32(n.dist)
			break
		}
		if n.parent == atTerminal {
			n.stamp, n.dist = g.time, 1
			steps++
			break
		}
		if n.parent >= noParent {
			return far
		}
		steps++
		i += g.steps[n.parent]
	}
	for i, left := at, steps; g.nodes[i].stamp != g.time; left-- {
		n := &g.nodes[i]
		n.stamp, n.dist = g.time, kept(left)
		i += g.steps[n.parent]
	}
	return steps
}
