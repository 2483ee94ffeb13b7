package selection

import "halocline/colour"

// A hole is a set of gaps connected for the limits from born on, until it
// becomes part of its parent.
type hole struct {
	area   int32   // pixels
	island int32   // pixels of all that takes part and is connected to it
	born   float64 // a limit
	full   float64 // for how many limits, from born on, it is filled, itself or as part of its parents
	parent int32   // -1: none
}

// holes is the tree of holes over limits: first the gaps as they are, then
// those that arise where a speck goes, in the order in which they do.
type holes struct {
	area, last float64 // the limits are from area to last, which is twice that
	tree       []hole
	top        []int32 // find's parents: the hole that contains each so far
	gap        []int32 // a gap's root -> its hole
	gaps       int
}

func (h *holes) of(gapRoot int32) *hole { return &h.tree[h.gap[gapRoot]] }

// ofSpeck returns the hole that arose when the k-th speck went.
func (h *holes) ofSpeck(k int) *hole { return &h.tree[h.gaps+k] }

func (h *holes) add(n hole) int32 {
	at := int32(len(h.tree))
	h.tree, h.top = append(h.tree, n), append(h.top, at)
	return at
}

// growTree builds the tree of holes of what was labelled.
func (q *despeckler) growTree(in domain, area float64) {
	h := &q.holes
	h.area, h.last = area, 2*area
	h.tree, h.top, h.gap = h.tree[:0], h.top[:0], colour.Resized(h.gap, len(q.gaps.list))
	for i, one := range q.gaps.list {
		if int(q.gaps.root[i]) == i {
			h.gap[i] = h.add(hole{q.gaps.area[i], q.islandOf(in, one.x0, one.y), area, 0, -1})
		}
	}
	h.gaps = len(h.tree)
	for _, root := range q.order {
		q.removeSpeck(in, root)
	}
	for i := len(h.tree) - 1; i >= 0; i-- { // parents come after their children
		n := &h.tree[i]
		if n.parent < 0 {
			n.close(h.last)
		} else {
			n.full += h.tree[n.parent].full
		}
	}
}

// removeSpeck makes one hole of a speck and of the gaps that touch it.
func (q *despeckler) removeSpeck(in domain, root int32) {
	first := q.specks.list[root]
	core := q.specks.area[root] // what of it is no gap already
	at := q.holes.add(hole{0, q.islandOf(in, first.x0, first.y), max(q.holes.area, float64(core)), 0, -1})
	for i := root; i >= 0; i = q.next[i] {
		one := q.specks.list[i]
		q.holes.take(&q.gaps, at, one.y-1, one.x0, one.x1)
		q.holes.take(&q.gaps, at, one.y+1, one.x0, one.x1)
		for _, gap := range q.holes.take(&q.gaps, at, one.y, one.x0-1, one.x1+1) {
			core -= max(0, min(gap.x1, one.x1)-max(gap.x0, one.x0))
		}
	}
	q.holes.tree[at].area += core
}

// take makes the holes of the gaps that share a column with [x0,x1) of row y
// parts of the hole at, and returns these gaps.
func (h *holes) take(gaps *runs, at, y, x0, x1 int32) []run {
	from, to := gaps.touching(y, x0, x1)
	for j := from; j < to; j++ {
		top := find(h.top, h.gap[gaps.root[j]])
		if top == at {
			continue
		}
		part, whole := &h.tree[top], &h.tree[at]
		part.close(whole.born)
		part.parent, h.top[top] = at, at
		whole.area += part.area
	}
	return gaps.list[from:to]
}

// close counts the limits up to end for which the hole itself is filled.
func (n *hole) close(end float64) {
	if n.area < n.island {
		n.full = max(0, end-max(n.born, float64(n.area)))
	}
}
