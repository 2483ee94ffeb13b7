package render

import (
	"context"

	"halocline/colour"
)

// shrink makes dst a proxy of src: each pixel the mean of n x n, in display-
// encoded values. Where n does not divide the size, the last column and row are
// means of what there is. Sums run along rows, then down, whatever the workers.
func shrink(ctx context.Context, dst, src *colour.Image, n, workers int) error {
	w, h := src.Size()
	dst.Reshape((w+n-1)/n, (h+n-1)/n)
	return colour.EachBand(ctx, workers, dst.R.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			shrinkRow(dst.R.Row(y), src.R, y, n)
			shrinkRow(dst.G.Row(y), src.G, y, n)
			shrinkRow(dst.B.Row(y), src.B, y, n)
		}
	})
}

// shrinkRow makes dst row y of the proxy of one plane.
func shrinkRow(dst []float32, src colour.Plane, y, n int) {
	full := src.W / n // pixels that n columns go into
	clear(dst)
	rows := min(n, src.H-y*n)
	for i := range rows {
		row := src.Row(y*n + i)
		for x := range full {
			var sum float32
			for _, v := range row[x*n : (x+1)*n] {
				sum += v
			}
			dst[x] += sum
		}
		if full < len(dst) {
			for _, v := range row[full*n:] {
				dst[full] += v
			}
		}
	}
	scale := 1 / float32(n*rows)
	for x := range full {
		dst[x] *= scale
	}
	if full < len(dst) {
		dst[full] /= float32((src.W - full*n) * rows)
	}
}
