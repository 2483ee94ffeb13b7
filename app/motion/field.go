package motion

import (
	"context"

	"halocline/colour"
)

// field is the motion at one level, dense, with the change of light.
type field struct {
	w, h       int
	u, v       []float32 // pixels of the level
	gain, lift []float32 // see change
}

func newField(w, h int) *field {
	n := w * h
	return &field{w: w, h: h, u: make([]float32, n), v: make([]float32, n), gain: make([]float32, n), lift: make([]float32, n)}
}

// starts lists the first pixels of patches along a side: every patchStep, and one at the end.
func starts(size int) []int {
	var at []int
	for x := 0; x+patchSide < size; x += patchStep {
		at = append(at, x)
	}
	return append(at, max(0, size-patchSide))
}

// found is what the search of one patch found.
type found struct {
	u, v    float32
	light   change
	weights [patchArea]float32
}

// seek searches the patches of a level, from the coarser field's motion on (nil: from
// rest), and weighs them to a dense field.
func seek(ctx context.Context, workers int, from, to *level, coarser *field) (*field, error) {
	xs, ys := starts(from.w), starts(from.h)
	all := make([]found, len(xs)*len(ys))
	err := colour.EachStrip(ctx, workers, len(ys), 1, func(row, _ int) {
		var p patch
		for col, x := range xs {
			f := &all[row*len(xs)+col]
			y := ys[row]
			p.take(from, x, y)
			var u, v float32
			if coarser != nil {
				u, v = coarser.below(x+patchSide/2, y+patchSide/2)
			}
			f.u, f.v = p.search(to, x, y, u, v, &f.weights)
			f.light = p.weigh(&f.weights)
		}
	})
	if err != nil {
		return nil, err
	}
	return spread(ctx, workers, from.w, from.h, xs, ys, all)
}

// below is the motion at the corner before pixel (x,y) of the level below, in its
// pixels: by the nearest pixel, whose centre lies there or half a pixel off.
func (f *field) below(x, y int) (u, v float32) {
	i := min(y/2, f.h-1)*f.w + min(x/2, f.w-1)
	return 2 * f.u[i], 2 * f.v[i]
}

// spread is each pixel's mean of the patches over it, by their weights.
func spread(ctx context.Context, workers, w, h int, xs, ys []int, all []found) (*field, error) {
	f := newField(w, h)
	var sums colour.Pool[[]float32]
	err := colour.EachBand(ctx, workers, h, func(y0, y1 int) {
		buffer := sums.Take()
		*buffer = colour.Resized(*buffer, (y1-y0)*w)
		weight := *buffer
		clear(weight)
		for row, y := range ys {
			top, bottom := max(y, y0), min(y+patchSide, y1)
			for line := top; line < bottom; line++ {
				for col, x := range xs {
					one := &all[row*len(xs)+col]
					f.add(one, one.weights[(line-y)*patchSide:][:min(patchSide, w)], line*w+x, weight[(line-y0)*w+x:])
				}
			}
		}
		i := y0 * w
		for k, sum := range weight {
			over := 1 / sum
			f.u[i+k] *= over
			f.v[i+k] *= over
			f.gain[i+k] *= over
			f.lift[i+k] *= over
		}
		sums.Give(buffer)
	})
	return f, err
}

// add counts a row of a patch in the pixels from index i on.
func (f *field) add(one *found, weights []float32, i int, sums []float32) {
	n := len(weights)
	u, v, gain, lift, sums := f.u[i:][:n], f.v[i:][:n], f.gain[i:][:n], f.lift[i:][:n], sums[:n]
	for c, g := range weights {
		u[c] += float32(g * one.u)
		v[c] += float32(g * one.v)
		gain[c] += float32(g * one.light.gain)
		lift[c] += float32(g * one.light.lift)
		sums[c] += g
	}
}
