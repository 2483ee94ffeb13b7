package render

import (
	"context"
	"image"

	"halocline/colour"
)

// shrink makes dst a proxy of src: each pixel the mean of n x n. Where n does
// not divide the size, the last column and row are means of what there is. Sums
// run along rows, then down, whatever the workers.
func shrink(ctx context.Context, dst *colour.Plane, src colour.Plane, n, workers int) error {
	dst.Reshape((src.W+n-1)/n, (src.H+n-1)/n)
	return colour.EachBand(ctx, workers, dst.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			shrinkRow(dst.Row(y), src, 0, y, n)
		}
	})
}

// shrinkParts is shrink for parts of dst, which has its size; elsewhere it stays.
func shrinkParts(ctx context.Context, dst *colour.Plane, src colour.Plane, n int, parts []image.Rectangle, workers int) error {
	return colour.EachPart(ctx, workers, parts, func(r image.Rectangle) {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			shrinkRow(dst.Row(y)[r.Min.X:r.Max.X], src, r.Min.X, y, n)
		}
	})
}

// shrinkCells fills cells of a proxy.
func shrinkCells(ctx context.Context, dst *colour.Plane, src colour.Plane, n int, missing *cells, workers int) error {
	if missing == nil {
		return shrink(ctx, dst, src, n, workers)
	}
	return shrinkParts(ctx, dst, src, n, missing.parts(), workers)
}

// shrinkImage is shrinkCells for each channel, in display-encoded values.
func shrinkImage(ctx context.Context, dst, src *colour.Image, n int, missing *cells, workers int) error {
	for i, to := range []*colour.Plane{&dst.R, &dst.G, &dst.B} {
		if err := shrinkCells(ctx, to, [...]colour.Plane{src.R, src.G, src.B}[i], n, missing, workers); err != nil {
			return err
		}
	}
	return nil
}

// shrinkRow makes dst row y of a proxy, from column x0 on.
func shrinkRow(dst []float32, src colour.Plane, x0, y, n int) {
	full := min(src.W/n-x0, len(dst)) // pixels that n columns go into
	clear(dst)
	rows := min(n, src.H-y*n)
	for i := range rows {
		row := src.Row(y*n + i)[x0*n : min((x0+len(dst))*n, src.W)]
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
		dst[full] /= float32((src.W - (x0+full)*n) * rows)
	}
}
