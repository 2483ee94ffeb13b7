package colour

import (
	"context"
	"image"
	"runtime"
	"sync"
	"sync/atomic"
)

// BandRows is the height of the bands that EachBand hands out. It is fixed, so
// that running sums which start anew in each band give the same bits for any
// number of workers. 16 rows of a 4K plane fit the second-level cache of one
// core; lower bands cost more hand-outs than they save.
const BandRows = 16

// EachBand calls work for every band [y0,y1) of rows below h, spread over
// workers goroutines (0 = one for each processor), and returns when all are
// done. Bands start at multiples of BandRows. Work on one band must not write
// what another band reads or writes. When ctx ends, bands not yet begun are
// left out and its error is returned; what was to be written is then undefined.
func EachBand(ctx context.Context, workers, h int, work func(y0, y1 int)) error {
	bands := (h + BandRows - 1) / BandRows
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	workers = min(workers, bands)
	if workers <= 1 {
		for y := 0; y < h; y += BandRows {
			if err := ctx.Err(); err != nil {
				return err
			}
			work(y, min(y+BandRows, h))
		}
		return ctx.Err()
	}
	var next atomic.Int64
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for ctx.Err() == nil {
				y := (int(next.Add(1)) - 1) * BandRows
				if y >= h {
					return
				}
				work(y, min(y+BandRows, h))
			}
		})
	}
	group.Wait()
	return ctx.Err()
}

// EachStrip is EachBand for strips of another height: they start at multiples
// of rows.
func EachStrip(ctx context.Context, workers, h, rows int, work func(y0, y1 int)) error {
	strips := (h + rows - 1) / rows
	return EachBand(ctx, workers, strips*BandRows, func(band, _ int) {
		y := band / BandRows * rows
		work(y, min(y+rows, h))
	})
}

// EachPart is EachBand for parts of a picture: work is called for each, one after
// the other or several at once.
func EachPart(ctx context.Context, workers int, parts []image.Rectangle, work func(r image.Rectangle)) error {
	return EachStrip(ctx, workers, len(parts), 1, func(i, _ int) { work(parts[i]) })
}
