package render

import (
	"context"

	"halocline/colour"
)

// shrink makes dst a proxy of src: each pixel the mean of n x n. Where n does
// not divide the size, the last column and row are means of what there is. Sums
// run along rows, then down, whatever the workers.
func shrink(ctx context.Context, dst *colour.Plane, src colour.Plane, n, workers int) error {
	dst.Reshape((src.W+n-1)/n, (src.H+n-1)/n)
	return colour.EachBand(ctx, workers, dst.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			shrinkRow(dst.Row(y), src, y, n)
		}
	})
}

// shrinkImage is shrink for each channel, in display-encoded values.
func shrinkImage(ctx context.Context, dst, src *colour.Image, n, workers int) error {
	for i, to := range []*colour.Plane{&dst.R, &dst.G, &dst.B} {
		if err := shrink(ctx, to, [...]colour.Plane{src.R, src.G, src.B}[i], n, workers); err != nil {
			return err
		}
	}
	return nil
}

// shrinkRow makes dst row y of a proxy.
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
