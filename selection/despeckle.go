package selection

import (
	"context"
	"math"

	"halocline/colour"
)

// What counts as selected for a speck, and as not selected for a pinhole.
const (
	speckAbove  = 0.1
	holeBelow   = 0.9
	smallestSet = 0.5 // px of area: nothing is smaller than twice this
)

func despeckles(area float64) bool { return area > smallestSet }

// despeckleReach is how far a pixel's fate may be decided. A component below
// 2 area pixels reaches less than that; whether it is a pinhole depends on the
// specks beside it, which reach as far again. What is cut off by the edge of a
// region beyond that is at least as large within it, so it stays as it would.
func despeckleReach(area float64) int {
	if !despeckles(area) {
		return 0
	}
	return 2 * int(math.Ceil(2*area))
}

// despeckler removes specks and pinholes.
//
// The result is a mean over limits t from n to 2n: for each t, specks of less
// than t pixels are gone, and pinholes of less than t pixels in what that
// leaves are filled. As t rises, specks go one after the other, and where one
// goes the holes round it become one. The holes of every t form a tree: see
// holes.
type despeckler struct {
	specks, gaps, islands runs
	holes                 holes
	order                 []int32 // roots of the specks that may go, the smallest first
	next                  []int32 // run of a speck -> its next run, -1 after the last
	last                  []int32 // root of a speck -> its last run yet
	count                 []int32 // specks by area
	rows                  colour.Pool[[3]rowSet]
}

func (q *despeckler) run(ctx context.Context, dst, src *colour.Plane, in domain, area float64, workers int) error {
	in.begin(dst, src)
	if in.Empty() {
		return ctx.Err()
	}
	if err := q.label(ctx, dst, src, in, workers); err != nil {
		return err
	}
	q.findSmall(in, area)
	q.growTree(in, area)
	q.fill(dst, src, in)
	return ctx.Err()
}

// label copies src to dst and finds its components: of what may be specks, of
// gaps (where alpha is below 0.9), and of what takes part.
func (q *despeckler) label(ctx context.Context, dst, src *colour.Plane, in domain, workers int) error {
	w, h := in.Size()
	for _, r := range []*runs{&q.specks, &q.gaps, &q.islands} {
		r.reset(h)
	}
	err := colour.EachBand(ctx, workers, h, func(y0, y1 int) {
		sets := q.rows.Take()
		for i := range sets {
			sets[i] = colour.Resized(sets[i], (w+63)/64)
		}
		for y := y0; y < y1; y++ {
			to := in.Row(dst, y)
			tidyRow(to, in.Row(src, y))
			classify(sets, to, in.Part(y))
			q.specks.add(y, sets[0], w)
			q.gaps.add(y, sets[1], w)
			if in.Mask != nil {
				q.islands.add(y, sets[2], w)
			}
		}
		q.rows.Give(sets)
	})
	for _, r := range []*runs{&q.specks, &q.gaps, &q.islands} {
		if err == nil {
			err = r.join(ctx, h)
		}
	}
	return err
}

// classify tells a row's specks, gaps and what takes part.
func classify(sets *[3]rowSet, row, part []float32) {
	high, low := int32(math.Float32bits(speckAbove)), int32(math.Float32bits(holeBelow))
	for i := range sets[0] {
		block := row[64*i : min(64*i+64, len(row))]
		speck, gap := uint64(0), uint64(0)
		for _, v := range block { // floats from 0 on are in the order of their bits
			bits := int32(math.Float32bits(v))
			speck = speck>>1 | uint64(uint32(high-bits)>>31)<<63
			gap = gap>>1 | uint64(uint32(bits-low)>>31)<<63
		}
		all := partOf(part, 64*i, len(block))
		missing := 64 - len(block)
		sets[0][i], sets[1][i], sets[2][i] = speck>>missing&all, gap>>missing&all, all
	}
}

// partOf tells which of n pixels from x on take part.
func partOf(part []float32, x, n int) (all uint64) {
	if part == nil {
		return 1<<n - 1
	}
	for i, v := range part[x : x+n] {
		if v > 0 {
			all |= 1 << (i & 63)
		}
	}
	return all
}

// islandOf returns the pixels of the connected part of the domain that contains
// (x,y).
func (q *despeckler) islandOf(in domain, x, y int32) int32 {
	if in.Mask == nil {
		return int32(in.Box.Max.X * in.Box.Max.Y)
	}
	i, _ := q.islands.touching(y, x, x+1)
	return q.islands.area[q.islands.root[i]]
}

// findSmall lists the specks that may go by their areas, and chains the runs
// of every component.
func (q *despeckler) findSmall(in domain, area float64) {
	s := &q.specks
	q.next, q.last = colour.Resized(q.next, len(s.list)), colour.Resized(q.last, len(s.list))
	q.count = q.count[:0]
	for i := range s.list {
		root := s.root[i] // the first run of its component: join keeps the lower
		q.next[i] = -1
		if int(root) != i {
			q.next[q.last[root]] = int32(i)
		} else if q.small(in, root, area) {
			q.tally(int(s.area[root]))
		}
		q.last[root] = int32(i)
	}
	total := int32(0)
	for a, n := range q.count {
		q.count[a] = total // where specks of this area begin
		total += n
	}
	q.order = colour.Resized(q.order, int(total))
	for i, root := range s.root {
		if int(root) == i && q.small(in, root, area) {
			at := &q.count[s.area[root]]
			q.order[*at] = root
			*at++
		}
	}
}

func (q *despeckler) tally(area int) {
	for len(q.count) <= area {
		q.count = append(q.count, 0)
	}
	q.count[area]++
}

// small reports whether a speck may go: it is below twice the area, and there
// is something beside it.
func (q *despeckler) small(in domain, root int32, area float64) bool {
	n, first := q.specks.area[root], q.specks.list[root]
	return float64(n) < 2*area && n < q.islandOf(in, first.x0, first.y)
}

// fill writes what the tree of holes says about the pixels that change.
func (q *despeckler) fill(dst, src *colour.Plane, in domain) {
	for i, one := range q.gaps.list {
		if full := q.holes.of(q.gaps.root[i]).full; full > 0 {
			q.blend(dst, src, in, one, 0, full, 0)
		}
	}
	for k, root := range q.order {
		node := q.holes.ofSpeck(k)
		for i := root; i >= 0; i = q.next[i] {
			one := q.specks.list[i]
			q.blend(dst, src, in, one, q.holes.last-node.born, node.full, 0)
			from, to := q.gaps.touching(one.y, one.x0, one.x1)
			for j := from; j < to; j++ { // in both: it may have been filled before it went
				both := run{one.y, max(one.x0, q.gaps.list[j].x0), min(one.x1, q.gaps.list[j].x1)}
				early := max(0, q.holes.of(q.gaps.root[j]).full-node.full)
				q.blend(dst, src, in, both, q.holes.last-node.born, node.full, early)
			}
		}
	}
}

// blend writes a run that is gone for some limits, full for some of those, and
// early full for some of the others.
func (q *despeckler) blend(dst, src *colour.Plane, in domain, one run, gone, full, early float64) {
	n := q.holes.area
	stays, filled := (n-max(gone, full)-early)/n, (full+early)/n
	to, from := in.Row(dst, int(one.y))[one.x0:one.x1], in.Row(src, int(one.y))[one.x0:one.x1]
	for x, v := range from {
		to[x] = colour.Clamped(float32(float64(float64(colour.Clamped(v))*stays) + filled))
	}
}
