package selection

import (
	"context"
	"math/bits"

	"halocline/colour"
)

// A run is a stretch [x0,x1) of pixels of row y.
type run struct{ y, x0, x1 int32 }

// runs are the pixels of a set, joined to 4-connected components. A component
// is named by the index of one of its runs, its root.
type runs struct {
	list  []run   // by rows, then by columns
	first []int32 // where each row begins in list, and the length of list
	root  []int32 // of each run
	area  []int32 // pixels of each component, at its root
	bands [][]run // what each band of rows contributed
}

// A rowSet tells which pixels of a row belong to sets: bit x%64 of word x/64.
type rowSet []uint64

// reset makes r ready for gather to fill in h rows.
func (r *runs) reset(h int) {
	bands := (h + colour.BandRows - 1) / colour.BandRows
	for len(r.bands) < bands {
		r.bands = append(r.bands, nil)
	}
	for i := range r.bands {
		r.bands[i] = r.bands[i][:0]
	}
	r.list, r.first = r.list[:0], colour.Resized(r.first, h+1)
}

// add appends the runs of row y. Rows of one band come in their order.
func (r *runs) add(y int, set rowSet, w int) {
	band := &r.bands[y/colour.BandRows]
	list, open, before := *band, int32(-1), uint64(0)
	for i, word := range set {
		for edges := word ^ (word<<1 | before); edges != 0; edges &= edges - 1 {
			x := int32(64*i + bits.TrailingZeros64(edges))
			if open < 0 {
				open = x
				continue
			}
			list = append(list, run{int32(y), open, x})
			open = -1
		}
		before = word >> 63
	}
	if open >= 0 {
		list = append(list, run{int32(y), open, int32(w)})
	}
	*band = list
}

// join finds the components of the runs that were added.
func (r *runs) join(ctx context.Context, h int) error {
	for _, band := range r.bands {
		r.list = append(r.list, band...)
	}
	r.root = colour.Resized(r.root, len(r.list))
	for i := range r.root {
		r.root[i] = int32(i)
	}
	at := int32(0)
	for y := range h {
		r.first[y] = at
		for int(at) < len(r.list) && int(r.list[at].y) == y {
			at++
		}
	}
	r.first[h] = at
	for y := 1; y < h; y++ {
		if y%colour.BandRows == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		r.joinRows(r.first[y-1], r.first[y], r.first[y+1])
	}
	r.measure()
	return ctx.Err()
}

// joinRows joins the runs [above,here) of a row to those of the next, [here,end).
func (r *runs) joinRows(above, here, end int32) {
	for a, b := above, here; a < here && b < end; {
		ra, rb := r.list[a], r.list[b]
		if ra.x0 < rb.x1 && rb.x0 < ra.x1 {
			join(r.root, a, b)
		}
		if ra.x1 < rb.x1 {
			a++
		} else {
			b++
		}
	}
}

// measure points every run at its root and adds up areas.
func (r *runs) measure() {
	r.area = colour.Resized(r.area, len(r.list))
	clear(r.area)
	for i, one := range r.list {
		root := find(r.root, int32(i))
		r.root[i] = root
		r.area[root] += one.x1 - one.x0
	}
}

// touching returns the runs [i,j) of row y that share a column with [x0,x1).
func (r *runs) touching(y, x0, x1 int32) (i, j int32) {
	if y < 0 || int(y) >= len(r.first)-1 {
		return 0, 0
	}
	i, end := r.first[y], r.first[y+1]
	for lo, hi := i, end; ; { // the first run that ends after x0
		if lo >= hi {
			i = lo
			break
		}
		if mid := lo + (hi-lo)/2; r.list[mid].x1 <= x0 {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	for j = i; j < end && r.list[j].x0 < x1; j++ {
	}
	return i, j
}
