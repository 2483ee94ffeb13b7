package mask

import "math"

// feather fills out with the ramp across the edge, or, where that is blended
// with coverage, takes out from coverage to the blend.
func (b *band) feather(out []float32, d *drawing) {
	blocks := b.blocks()
	for i, rows := range d.figureRows {
		for row := max(int(rows[0]), b.top); row < min(int(rows[1]), b.bottom); row++ {
			r, f := row-b.top, &d.figures[i]
			from, to := f.row(row, d.size, b.squares[r*b.w:(r+1)*b.w])
			for block := from / blockWidth; block*blockWidth < to; block++ {
				b.near[r*blocks+block] = true
			}
		}
	}
	if d.blend < 1 {
		b.nearCells()
	}
	b.raster.reset(d.size, b.w, b.top, b.bottom-b.top)
	for _, p := range d.area.borders {
		b.raster.centre(p)
	}
	ramp := rampOf(d)
	for row := range b.bottom - b.top {
		weights := out[row*b.w : (row+1)*b.w]
		if d.blend < 1 {
			copy(b.covered, weights)
		}
		b.raster.inside(row, weights, b.ones)
		b.ramp(row, weights, ramp)
	}
}

// nearCells marks the blocks of pixels that the edge runs through: where there
// is little feather, their centres may lie outside of it.
func (b *band) nearCells() {
	blocks := b.blocks()
	for row, cells := range b.raster.rows {
		for _, c := range cells {
			if c.column >= 0 {
				b.near[row*blocks+c.column/blockWidth] = true
			}
		}
	}
}

// A ramp leads from a signed distance to a weight.
type ramp struct {
	outer, steep float32 // pixels, and one over the feather in pixels
	blend        float32
}

func rampOf(d *drawing) ramp {
	return ramp{d.outer, 1 / (d.inner + d.outer), d.blend}
}

// ramp weighs the pixels of a row near the edge. weights says which are
// inside.
func (b *band) ramp(row int, weights []float32, r ramp) {
	near := b.near[row*b.blocks() : (row+1)*b.blocks()]
	squares := b.squares[row*b.w : (row+1)*b.w]
	for block, is := range near {
		if !is {
			continue
		}
		near[block] = false
		from := block * blockWidth
		to := min(from+blockWidth, b.w)
		r.weigh(weights[from:to], squares[from:to])
		if r.blend < 1 {
			r.mix(weights[from:to], b.covered[from:to])
		}
	}
}

// weigh replaces 0 and 1, for outside and inside, by the ramp's weight at the
// distances, and sets their squares to far.
func (r *ramp) weigh(weights, squares []float32) {
	squares = squares[:len(weights)]
	for i, in := range weights {
		d := float32(math.Sqrt(float64(squares[i])))
		squares[i] = far
		u := float32((float32((2*in-1)*d) + r.outer) * r.steep)
		if u <= 0 {
			weights[i] = 0
		} else if u >= 1 {
			weights[i] = 1
		} else {
			weights[i] = float32(u*u) * (3 - float32(2*u))
		}
	}
}

// mix takes weights from coverage as far to the ramp as there is feather.
func (r *ramp) mix(weights, covered []float32) {
	for i, c := range covered {
		weights[i] = c + float32(r.blend*(weights[i]-c))
	}
}
