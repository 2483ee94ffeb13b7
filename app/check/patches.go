package check

import "math"

// raggedPx is what a pixel of contour that leads nowhere counts: half a cell,
// the mean way that a line strays which fills one.
const raggedPx = cellPx / 2

// A burden is what a square adds up: how much wider the edge is than on the
// whole, below 0 where it is narrower; all other trouble; and whether there is an
// edge at all.
type burden struct{ wider, other, contour float64 }

func (b *burden) add(w float64, c burden) {
	b.wider += float64(w * c.wider)
	b.other += float64(w * c.other)
	b.contour += float64(w * c.contour)
}

// burdens returns each cell's. Edge counts where the cell or one of its eight
// neighbours has contour: a veil far from it is no edge.
func (t *troubles) burdens() []burden {
	near := make([]bool, len(t.cells))
	area, contour := 0, 0.0
	for i := range t.cells {
		near[i] = t.near(i%t.w, i/t.w)
		if near[i] {
			area += t.cells[i].edge
			contour += t.cells[i].contour
		}
	}
	if contour == 0 {
		return nil
	}
	mean := float64(area) / contour
	out := make([]burden, len(t.cells))
	for i := range t.cells {
		if c := &t.cells[i]; near[i] {
			out[i] = burden{float64(c.edge) - float64(mean*c.contour), float64(raggedPx*c.ragged()) + c.off, c.contour}
		}
	}
	return out
}

func (t *troubles) near(x, y int) bool {
	for v := max(y-1, 0); v < min(y+2, t.h); v++ {
		for u := max(x-1, 0); u < min(x+2, t.w); u++ {
			if t.cells[v*t.w+u].contour > 0 {
				return true
			}
		}
	}
	return false
}

// A place is where squares of a size may lie along one axis of the frame, and
// what they weigh of which cells.
type place struct {
	at    int
	first int // cell
	share []float64
}

// places returns one for every cell and one at the frame's far end.
func places(length, size int) (out []place) {
	last := max(length-size, 0)
	for at := 0; ; at += cellPx {
		p := place{at: min(at, last)}
		middle, reach := float64(p.at)+float64(size)/2, float64(size)/2
		p.first = p.at / cellPx
		for c := p.first; c*cellPx < min(p.at+size, length); c++ {
			p.share = append(p.share, max(0, 1-math.Abs(float64(c*cellPx)+cellPx/2.0-middle)/reach))
		}
		out = append(out, p)
		if at >= last {
			return out
		}
	}
}

// worst returns the n worst squares of a w x h frame that do not overlap.
func (t *troubles) worst(n, w, h, size int) (out []Patch) {
	cells := t.burdens()
	if cells == nil {
		return nil
	}
	all := squares(cells, t.w, t.h, places(w, size), places(h, size))
	for len(out) < n {
		best := -1
		for i, p := range all {
			if (best < 0 || p.Badness > all[best].Badness) && !overlaps(p, out, size) {
				best = i
			}
		}
		if best < 0 {
			break
		}
		out = append(out, all[best])
	}
	return out
}

// squares returns every square that has contour.
func squares(cells []burden, w, h int, across, down []place) (out []Patch) {
	straight := 0.0 // what a level edge through the middle weighs, in px
	for _, share := range across[0].share {
		straight += cellPx * share
	}
	rows := make([]burden, h*len(across))
	for y := range h {
		for i, p := range across {
			for k, share := range p.share {
				rows[y*len(across)+i].add(share, cells[y*w+p.first+k])
			}
		}
	}
	for _, q := range down {
		for i, p := range across {
			var b burden
			for k, share := range q.share {
				b.add(share, rows[(q.first+k)*len(across)+i])
			}
			if b.contour > 0 {
				out = append(out, Patch{p.at, q.at, (max(0, b.wider) + b.other) / straight})
			}
		}
	}
	return out
}

func overlaps(p Patch, taken []Patch, size int) bool {
	for _, q := range taken {
		if max(p.X-q.X, q.X-p.X) < size && max(p.Y-q.Y, q.Y-p.Y) < size {
			return true
		}
	}
	return false
}
