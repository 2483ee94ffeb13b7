package mask

// rasterDrawing prepares weights that are there already.
func rasterDrawing(r *Raster, opacity float64, region Region) *drawing {
	d := drawings.Get().(*drawing)
	*d = drawing{raster: r, region: region, opacity: float32(opacity), figures: d.figures[:0], figureRows: d.figureRows[:0]}
	_, h := region.Size()
	n := region.Factor
	first, end := floorDiv(r.Y0-region.Y0, n), floorDiv(r.Y0+r.H-region.Y0+n-1, n)
	d.rows = [2]int32{int32(min(max(first, 0), h)), int32(min(max(end, 0), h))}
	return d
}

func floorDiv(a, n int) int {
	q := a / n
	if a%n < 0 {
		q--
	}
	return q
}

// drawRaster fills out, the band's rows, with a raster's weights: on a proxy, the means of
// those of its pixels that lie in the region.
func (b *band) drawRaster(out []float32, d *drawing) {
	for row := range b.bottom - b.top {
		d.rasterRow(out[row*b.w:(row+1)*b.w], b.top+row)
	}
}

func (d *drawing) rasterRow(out []float32, y int) {
	clear(out)
	r, n := d.raster, d.region.Factor
	y0, y1 := d.region.Y0+y*n, min(d.region.Y0+(y+1)*n, d.region.Y1)
	x0, x1 := max(r.X0, d.region.X0), min(r.X0+r.W, d.region.X1)
	if x0 >= x1 {
		return
	}
	for sy := max(y0, r.Y0); sy < min(y1, r.Y0+r.H); sy++ {
		row := r.Row(sy - r.Y0)[x0-r.X0 : x1-r.X0]
		if n == 1 {
			copy(out[x0-d.region.X0:], row)
			continue
		}
		for i, v := range row {
			out[(x0+i-d.region.X0)/n] += v
		}
	}
	if n == 1 {
		return
	}
	for x := range out {
		if out[x] > 0 {
			wide := min(d.region.X0+(x+1)*n, d.region.X1) - (d.region.X0 + x*n)
			out[x] = min(out[x]/float32(wide*(y1-y0)), 1)
		}
	}
}
