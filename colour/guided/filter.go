package guided

import (
	"context"
	"runtime"

	"halocline/colour"
)

// A Filter is the guided filter. It keeps its buffers for the next use. The zero
// value is ready, and it may serve several calls at once.
type Filter struct{ strips colour.Pool[strip] }

// Run writes src, aligned to guide, to the pixels of dst that take part, clamped
// to [0,1], and returns ctx's error. Pixels that take no part neither lend their
// samples nor change in dst. All planes have one size; dst shares no samples with
// the others. workers is the number of goroutines, 0 one for each processor. After
// an error, what was to be written is undefined.
func (f *Filter) Run(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, in colour.Domain, windows Windows, workers int) error {
	windows.mustBeInRange()
	mustFit(dst, src, guide, in)
	if in.Empty() {
		return ctx.Err()
	}
	_, h := in.Size()
	rows := (h + windows.Stride - 1) / windows.Stride
	return colour.EachStrip(ctx, workers, rows, stripRows(rows, windows.half(), workers), func(y0, y1 int) {
		s := f.strips.Take()
		s.dst, s.src, s.guide, s.in = dst, src, guide, in
		s.reset(windows, y0, y1)
		s.run(ctx)
		f.strips.Give(s)
	})
}

func mustFit(dst, src *colour.Plane, guide *colour.Image, in colour.Domain) {
	if guide == nil {
		panic("guided: found no guide, want a picture of the source's size")
	}
	for _, p := range []*colour.Plane{src, &guide.R, &guide.G, &guide.B} {
		if !p.SameSize(*dst) {
			panic("guided: found planes of different sizes, want source, guide and result of one size")
		}
		if dst == p || dst.SharesWith(*p) {
			panic("guided: found a result in the memory of its source or guide, want one of its own")
		}
	}
	switch {
	case in.Mask != nil && !in.Mask.SameSize(*src):
		panic("guided: found a mask of another size than the source")
	case !in.Box.In(src.Bounds()):
		panic("guided: found a box that is not within the source")
	}
}

// stripRows returns the height of strips: two for each worker, as long as
// they are higher than what each must read above and below. The sums are
// exact, so the strips do not show.
func stripRows(rows int, half float64, workers int) int {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	if workers == 1 {
		return rows
	}
	return max((rows+2*workers-1)/(2*workers), int(4*half)+16)
}
