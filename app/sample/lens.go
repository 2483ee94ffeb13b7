package sample

import (
	"context"
	"math"

	"halocline/colour"
)

// kernel returns the half of a Gaussian of sigma pixels, cut at 3 sigma, that
// begins at its middle; the whole sums to 1.
func kernel(sigma float64) []float32 {
	n := int(math.Ceil(3 * sigma))
	half := make([]float64, n+1)
	total := 0.0
	for i := range half {
		u := float64(i) / sigma
		half[i] = math.Exp(-u * u / 2)
		total += half[i]
		if i > 0 {
			total += half[i]
		}
	}
	out := make([]float32, n+1)
	for i := range out {
		out[i] = float32(settle(half[i] / total))
	}
	return out
}

// blur softens every plane of l by a Gaussian of sigma pixels; beyond the
// border the edge goes on.
func (l *layer) blur(ctx context.Context, workers int, sigma float64) error {
	k := kernel(sigma)
	scratch := colour.NewPlane(l.w, l.h)
	for i := range l.planes {
		p := &l.planes[i]
		err := colour.EachBand(ctx, workers, l.h, func(y0, y1 int) {
			for y := y0; y < y1; y++ {
				blurRow(scratch.Row(y), p.Row(y), k)
			}
		})
		if err != nil {
			return err
		}
		err = colour.EachBand(ctx, workers, l.h, func(y0, y1 int) {
			for y := y0; y < y1; y++ {
				blurColumn(p.Row(y), scratch, y, k)
			}
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func blurRow(dst, src, k []float32) {
	w := len(src)
	for x := range dst {
		sum := k[0] * src[x]
		for i := 1; i < len(k); i++ {
			sum += float32(k[i] * (src[max(0, x-i)] + src[min(w-1, x+i)]))
		}
		dst[x] = sum
	}
}

func blurColumn(dst []float32, src colour.Plane, y int, k []float32) {
	mid := src.Row(y)
	for x := range dst {
		dst[x] = k[0] * mid[x]
	}
	for i := 1; i < len(k); i++ {
		up, down := src.Row(max(0, y-i)), src.Row(min(src.H-1, y+i))
		for x := range dst {
			dst[x] += float32(k[i] * (up[x] + down[x]))
		}
	}
}

// blend moves every plane of l towards soft, row by row, by share(y) in [0,1].
func (l *layer) blend(soft *layer, share func(y int) float64) {
	for y := range l.h {
		a := float32(share(y))
		if a == 0 {
			continue
		}
		for p := range l.planes {
			dst, src := l.planes[p].Row(y), soft.planes[p].Row(y)
			for x := range dst {
				dst[x] += float32(a * (src[x] - dst[x]))
			}
		}
	}
}

// clone returns a copy of l that shares nothing with it.
func (l *layer) clone() *layer {
	c := newLayer(l.w, l.h)
	for p := range l.planes {
		copy(c.planes[p].Pix, l.planes[p].Pix)
	}
	return c
}

// focused is the distance, in metres, at which the lens is sharp.
const focused = 2.4

// soften puts what lies far behind the volunteer out of focus.
func (f *moment) soften(ctx context.Context, workers int, l *layer) error {
	soft := l.clone()
	if err := soft.blur(ctx, workers, 1.7*f.scale()); err != nil {
		return err
	}
	l.blend(soft, func(y int) float64 {
		spot, ok := f.bedAt(f.cam.ray(f.cam.cx, float64(y)+0.5))
		if !ok {
			return 1
		}
		return smoothstep(focused+0.8, 4*focused, spot.reach)
	})
	return nil
}

// focus blurs l as the lens does everywhere, lays the leaves close to it over,
// well out of focus, and adds the specks.
func (f *moment) focus(ctx context.Context, workers int, l, front *layer) error {
	if err := front.blur(ctx, workers, 3.2*f.scale()); err != nil {
		return err
	}
	err := colour.EachBand(ctx, workers, f.h, func(y0, y1 int) { l.lay(front, y0, y1) })
	if err != nil {
		return err
	}
	f.specks(l)
	return l.blur(ctx, workers, max(0.6, 0.8*f.scale()))
}

// scale is the size of the picture against the sample's usual one.
func (f *moment) scale() float64 { return scaleOf(f.w, f.h) }
