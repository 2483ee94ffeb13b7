package mask

import (
	"cmp"
	"slices"
)

// A cell is what one border adds to a pixel of a row and to all pixels right
// of it: cover is how much of the row's height the border crosses there,
// signed, and area twice what of that crossing lies left of it, in grid units.
// Sums of both are whole numbers, the same in any order.
type cell struct {
	column int
	cover  int64
	area   int64
}

// A raster gathers the cells of a band of rows. Pixels are squares of size
// grid units; what lies left of column 0 counts as in column -1, without area.
type raster struct {
	size    int64
	columns int
	top     int // the band's first row
	rows    [][]cell
}

func (r *raster) reset(size int64, columns, top, rows int) {
	r.size, r.columns, r.top = size, columns, top
	for len(r.rows) < rows {
		r.rows = append(r.rows, nil)
	}
	r.rows = r.rows[:rows]
	for i := range r.rows {
		r.rows[i] = r.rows[i][:0]
	}
}

// line adds a border, in grid units from the region's corner. Where it passes
// from row to row depends on the border alone, not on the band.
func (r *raster) line(b border) {
	sign := int64(-1) // filled where det is positive: left of a way down
	from, to := b.from, b.to
	if to.y < from.y {
		from, to, sign = to, from, 1
	}
	first := max(from.y, int64(r.top)*r.size)
	last := min(to.y, int64(r.top+len(r.rows))*r.size)
	if first >= last {
		return
	}
	slope := float64(to.x-from.x) / float64(to.y-from.y)
	crossing := func(y int64) int64 {
		if y == to.y {
			return to.x
		}
		return from.x + nearest(float64(y-from.y)*slope)
	}
	x, row := crossing(first), int(r.pixel(first))
	base := int64(row) * r.size
	for y := first; y < last; row, base = row+1, base+r.size {
		next := min(base+r.size, last)
		nextX := crossing(next)
		r.inRow(row-r.top, spot{x, y - base}, spot{nextX, next - base}, sign)
		x, y = nextX, next
	}
}

// inRow adds a piece that stays in one row, from upper to lower.
func (r *raster) inRow(row int, from, to spot, sign int64) {
	if from.x > to.x {
		from.x, to.x = to.x, from.x // mirrored upside down, it covers and leaves as much
		from.y, to.y = -to.y, -from.y
	}
	width := int64(r.columns) * r.size
	if from.x >= width {
		return
	}
	cells := r.rows[row]
	if to.x < 0 {
		r.rows[row] = append(cells, cell{column: -1, cover: sign * (to.y - from.y)})
		return
	}
	column := int64(-1)
	if from.x >= 0 {
		column = r.pixel(from.x)
		if left := column * r.size; to.x < left+r.size {
			cover := sign * (to.y - from.y)
			r.rows[row] = append(cells, cell{int(column), cover, cover * (from.x - left + to.x - left)})
			return
		}
	}
	slope := float64(to.y-from.y) / float64(to.x-from.x)
	x, y := from.x, from.y
	for ; column < int64(r.columns); column++ {
		left, right := column*r.size, (column+1)*r.size
		endX, endY := to.x, to.y
		if to.x >= right {
			endX, endY = right, from.y+nearest(float64(right-from.x)*slope)
		}
		c := cell{column: int(column), cover: sign * (endY - y)}
		if column >= 0 {
			c.area = c.cover * (x - left + endX - left)
		}
		if c.cover != 0 {
			cells = append(cells, c)
		}
		if to.x < right {
			break
		}
		x, y = endX, endY
	}
	r.rows[row] = cells
}

// pixel returns x / size for x from 0 on, for most without a division.
func (r *raster) pixel(x int64) int64 {
	if r.size == unit {
		return x / unit
	}
	return x / r.size
}

// centre adds where a border crosses the middle line of its rows: its cells
// have cover 1 or -1 and say which pixel centre is the first right of it.
func (r *raster) centre(b border) {
	sign := int64(-1)
	from, to := b.from, b.to
	if to.y < from.y {
		from, to, sign = to, from, 1
	}
	if to.y <= int64(r.top)*r.size || from.y >= int64(r.top+len(r.rows))*r.size {
		return
	}
	half := r.size / 2
	// Rows whose middle y has from.y <= y < to.y.
	first, _ := divide(from.y-half+r.size-1, r.size)
	last, _ := divide(to.y-half+r.size-1, r.size)
	first, last = max(first, int64(r.top)), min(last, int64(r.top+len(r.rows)))
	if first >= last {
		return
	}
	slope := float64(to.x-from.x) / float64(to.y-from.y)
	for row := first; row < last; row++ {
		x := from.x + nearest(float64(row*r.size+half-from.y)*slope)
		column, _ := divide(x-half+r.size-1, r.size)
		if column < int64(r.columns) {
			at := &r.rows[int(row)-r.top]
			*at = append(*at, cell{column: int(max(column, -1)), cover: sign})
		}
	}
}

// sorted returns a row's cells from left to right.
func (r *raster) sorted(row int) []cell {
	cells := r.rows[row]
	if len(cells) > 32 {
		slices.SortFunc(cells, func(a, b cell) int { return cmp.Compare(a.column, b.column) })
		return cells
	}
	for i := 1; i < len(cells); i++ {
		c, j := cells[i], i
		for ; j > 0 && cells[j-1].column > c.column; j-- {
			cells[j] = cells[j-1]
		}
		cells[j] = c
	}
	return cells
}

// coverage fills out with the share of every pixel of a row that is filled.
// ones is a row of ones. What follows a pixel with cells has the sum of their
// cover until the next.
func (r *raster) coverage(row int, out, ones []float32) {
	cells := r.sorted(row)
	double, scale := 2*r.size, 1/float64(2*r.size*r.size)
	var cover int64
	done := 0
	for i := 0; i < len(cells); {
		column := cells[i].column
		if column > done {
			span(out[done:column], ones, share(double*cover, scale))
		}
		var area int64
		for ; i < len(cells) && cells[i].column == column; i++ {
			cover += cells[i].cover
			area += cells[i].area
		}
		done = max(column, 0)
		if column >= 0 {
			out[column] = share(double*cover-area, scale)
			done++
		}
	}
	span(out[done:], ones, share(double*cover, scale))
}

// share returns an area as a share of a pixel.
func share(area int64, scale float64) float32 {
	switch v := float32(float64(area) * scale); {
	case v <= 0:
		return 0
	case v >= 1:
		return 1
	default:
		return v
	}
}

// inside fills out with 1 where a pixel's centre is filled, and 0 elsewhere.
func (r *raster) inside(row int, out, ones []float32) {
	var cover int64
	done := 0
	for _, c := range r.sorted(row) {
		if c.column > done {
			span(out[done:c.column], ones, float32(min(max(cover, 0), 1)))
			done = c.column
		}
		cover += c.cover
	}
	span(out[done:], ones, float32(min(max(cover, 0), 1)))
}

// span fills out with v.
func span(out, ones []float32, v float32) {
	switch v {
	case 0:
		clear(out)
	case 1:
		copy(out, ones)
	default:
		for i := range out {
			out[i] = v
		}
	}
}
