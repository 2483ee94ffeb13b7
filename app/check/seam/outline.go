package seam

import (
	"slices"

	"halocline/colour"
)

// bounds are where a row of a matte goes from below one half to half or more
// and back, from the left: what lies from bounds[0] on is in, from bounds[1] on
// out again, and so on.
type bounds []int32

// boundsOf finds the bounds of every row.
func boundsOf(matte colour.Plane) []bounds {
	rows := make([]bounds, matte.H)
	for y := range rows {
		before := false
		for x, alpha := range matte.Row(y) {
			if in := alpha >= colour.Half; in != before {
				rows[y] = append(rows[y], int32(x))
				before = in
			}
		}
		if before {
			rows[y] = append(rows[y], int32(matte.W))
		}
	}
	return rows
}

// flipped returns the bounds of what is out, in a row of w pixels.
func (b bounds) flipped(w int) bounds {
	out := make(bounds, 0, len(b)+2)
	if len(b) == 0 || b[0] > 0 {
		out = append(out, 0)
	} else {
		b = b[1:]
	}
	out = append(out, b...)
	if out[len(out)-1] == int32(w) {
		return out[:len(out)-1]
	}
	return append(out, int32(w))
}

// dropSpecks drops what is in and less than area pixels large, and calls drop
// for the columns [x0,x1) of row y that go. Pixels are connected through their
// four sides. It works on runs, a few for each row, where selection.Components
// looks at every pixel.
func dropSpecks(rows []bounds, area int, drop func(y, x0, x1 int)) {
	first := make([]int, len(rows)+1) // number of a row's first run
	for y, b := range rows {
		first[y+1] = first[y] + len(b)/2
	}
	parent, size := make([]int32, first[len(rows)]), make([]int, first[len(rows)])
	for i := range parent {
		parent[i] = int32(i)
	}
	root := func(i int32) int32 {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for y := 1; y < len(rows); y++ {
		eachMeeting(rows[y-1], rows[y], func(i, j int) {
			a, b := root(int32(first[y-1]+i)), root(int32(first[y]+j))
			parent[max(a, b)] = min(a, b)
		})
	}
	for y, b := range rows {
		for i := range len(b) / 2 {
			size[root(int32(first[y]+i))] += int(b[2*i+1] - b[2*i])
		}
	}
	for y, b := range rows {
		kept := b[:0]
		for i := range len(b) / 2 {
			if size[root(int32(first[y]+i))] >= area {
				kept = append(kept, b[2*i], b[2*i+1])
			} else {
				drop(y, int(b[2*i]), int(b[2*i+1]))
			}
		}
		rows[y] = kept
	}
}

// eachMeeting calls meet for every run i of one row and j of the next that share
// a column.
func eachMeeting(upper, lower bounds, meet func(i, j int)) {
	for i, j := 0, 0; 2*i < len(upper) && 2*j < len(lower); {
		if max(upper[2*i], lower[2*j]) < min(upper[2*i+1], lower[2*j+1]) {
			meet(i, j)
		}
		if upper[2*i+1] < lower[2*j+1] {
			i++
		} else {
			j++
		}
	}
}

// An outline is a matte's contour at one half, without specks and pinholes.
type outline struct {
	matte  colour.Plane // without them
	pieces []colour.Segment
	cells  []int32 // of each piece: the upper left of the four pixels between whose centres it runs
}

// outlineOf finds a matte's outline, where what is less than area pixels large
// has gone: first specks, then pinholes.
func outlineOf(matte colour.Plane, area int) *outline {
	o := &outline{matte: cleaned(matte, area)}
	for y := range matte.H - 1 {
		colour.ContourRow(o.matte, y, func(x int, s colour.Segment) {
			o.pieces, o.cells = append(o.pieces, s), append(o.cells, int32(y*matte.W+x))
		})
	}
	return o
}

// cleaned returns a matte without specks and pinholes, the matte itself where
// there are none.
func cleaned(matte colour.Plane, area int) colour.Plane {
	rows, whole := boundsOf(matte), true
	flip := func(to float32) {
		dropSpecks(rows, area, func(y, x0, x1 int) {
			if whole {
				matte, whole = colour.Plane{W: matte.W, H: matte.H, Pix: slices.Clone(matte.Pix)}, false
			}
			for x := x0; x < x1; x++ {
				matte.Row(y)[x] = to
			}
		})
	}
	flip(0)
	for y := range rows {
		rows[y] = rows[y].flipped(matte.W)
	}
	flip(1)
	return matte
}

// spanPx is the side of the squares of which spans are made.
const spanPx = 16

// spans are, for every spanPx rows, the stretches [x0,x1) of columns that may lie
// within reach of an outline.
type spans [][][2]int

// spansOf returns the squares that lie within reachPx of the outline, and some
// more.
func (o *outline) spansOf(reachPx int) spans {
	w, h := (o.matte.W+spanPx-1)/spanPx, (o.matte.H+spanPx-1)/spanPx
	near := make([]bool, w*h)
	more := (reachPx + spanPx) / spanPx
	last := [2]int{-1, -1}
	for _, cell := range o.cells {
		x, y := int(cell)%o.matte.W/spanPx, int(cell)/o.matte.W/spanPx
		if last == [2]int{x, y} {
			continue
		}
		last = [2]int{x, y}
		for ty := max(0, y-more); ty <= min(h-1, y+more); ty++ {
			for tx := max(0, x-more); tx <= min(w-1, x+more); tx++ {
				near[ty*w+tx] = true
			}
		}
	}
	s := make(spans, h)
	for ty := range s {
		for tx := 0; tx < w; tx++ {
			if !near[ty*w+tx] {
				continue
			}
			from := tx
			for tx < w && near[ty*w+tx] {
				tx++
			}
			s[ty] = append(s[ty], [2]int{from * spanPx, min(tx*spanPx, o.matte.W)})
		}
	}
	return s
}

// nearest holds for pixels within spans the nearest piece of the outline, as its
// number plus one, and the square of the distance to it; elsewhere 0.
type nearest struct {
	w       int
	of      []int32
	squares []float32
	pieces  []colour.Segment
}

// nearestOf finds them by handing on each pixel's piece to its neighbours, down
// and up, and along each row both ways (P.-E. Danielsson 1980, "Euclidean
// Distance Mapping", Computer Graphics and Image Processing 14; the form with
// eight neighbours). Now and then a pixel gets the second nearest, which is
// farther by a small part of a pixel.
func (o *outline) nearestOf(s spans) *nearest {
	w, h := o.matte.W, o.matte.H
	n := &nearest{w, make([]int32, w*h), make([]float32, w*h), o.pieces}
	for i, cell := range o.cells {
		for corner := range 4 {
			n.offer(int(cell)%w+corner%2, int(cell)/w+corner/2, int32(i+1))
		}
	}
	for y := range h {
		for _, span := range s[y/spanPx] {
			n.sweep(y, -1, span, y > 0)
		}
	}
	for y := h - 1; y >= 0; y-- {
		for _, span := range s[y/spanPx] {
			n.sweep(y, 1, span, y < h-1)
		}
	}
	return n
}

// sweep hands on pieces to the pixels of a stretch of row y: from the row that
// lies side rows off, where there is one, and along the stretch both ways.
func (n *nearest) sweep(y, side int, span [2]int, other bool) {
	x0, x1 := span[0], span[1]
	own := n.of[y*n.w:][:n.w]
	if other {
		beside := n.of[(y+side)*n.w:][:n.w]
		for x := x0; x < x1; x++ {
			if c := beside[x]; c != own[x] {
				n.offer(x, y, c)
			}
			if c := beside[max(x-1, 0)]; c != own[x] {
				n.offer(x, y, c)
			}
			if c := beside[min(x+1, n.w-1)]; c != own[x] {
				n.offer(x, y, c)
			}
		}
	}
	for x := x0 + 1; x < x1; x++ {
		if c := own[x-1]; c != own[x] {
			n.offer(x, y, c)
		}
	}
	for x := x1 - 2; x >= x0; x-- {
		if c := own[x+1]; c != own[x] {
			n.offer(x, y, c)
		}
	}
}

// offer gives pixel (x,y) a piece, if that is nearer than its own.
func (n *nearest) offer(x, y int, piece int32) {
	if piece == 0 {
		return
	}
	i := y*n.w + x
	if s := n.pieces[piece-1].Square(float32(x)+0.5, float32(y)+0.5); n.of[i] == 0 || s < n.squares[i] {
		n.of[i], n.squares[i] = piece, s
	}
}
