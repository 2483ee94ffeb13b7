package view

import (
	"image"
	"math"
)

// Weights are fixed-point numbers in 1/1024. Samples have 12 bits then, so that
// a lane of 32 bits holds a sample after both passes, and the view is within one
// 8-bit code of what real numbers give.
const (
	weightBits = 10
	weightOne  = 1 << weightBits
)

// Taps say, along one axis, which samples make each pixel of the view.
type taps struct {
	lo, hi int     // the pixels of the view that show the picture
	near   []int32 // for each of them, the sample its centre lies in
	first  []int32 // the first of the samples blended
	weight []int32 // of n samples each; they sum to weightOne
	second []int32 // where n is 2, the second one's
	n      int     // 0: crisp, near alone
}

// axis is one axis of a viewport and of the layers under it.
type axis struct {
	size   int     // of the picture, source px
	view   int     // screen px
	origin float64 // of the picture, screen px
	zoom   float64
	region int // where the samples begin, source px
	factor int
	count  int // of samples
}

// makeTaps returns the taps of an axis. Where zoom and zoom times factor are 1
// or more, pixels are crisp; else each pixel of the view is the mean over its own
// width, or over a sample's where that is more: which is to interpolate between
// the two nearest samples. Samples beyond either end are those at the end.
func makeTaps(a axis) taps {
	t := taps{lo: a.view}
	scale := 1 / (a.zoom * float64(a.factor)) // samples per screen px
	width := max(scale, 1)
	if a.zoom < 1 || scale > 1 {
		t.n = int(math.Ceil(width)) + 1
	}
	for i := range a.view {
		at := (float64(i) + 0.5 - a.origin) / a.zoom // the pixel's centre, source px
		if at < 0 || at >= float64(a.size) {
			continue
		}
		t.lo, t.hi = min(t.lo, i), i+1
		u := (at - float64(a.region)) / float64(a.factor)
		u = min(max(u, 0), float64(a.count))
		t.near = append(t.near, int32(min(int(u), a.count-1)))
		if t.n > 0 {
			t.blend(u-width/2, width, a.count)
		}
	}
	return t
}

// blend appends the taps of a pixel that reaches over [from,from+width] samples.
func (t *taps) blend(from, width float64, count int) {
	whole := math.Floor(from)
	first := min(max(int(whole), 0), count-1)
	t.first = append(t.first, int32(first))
	w := len(t.weight)
	t.weight = append(t.weight, make([]int32, t.n)...)
	done := 0
	for i := range t.n {
		// what lies left of the border between this sample and the next
		upTo := min(max(whole+float64(i+1)-from, 0), width) / width
		sum := int(math.Round(upTo * weightOne))
		if i == t.n-1 {
			sum = weightOne
		}
		at := min(max(int(whole)+i, 0), count-1) - first
		t.weight[w+at] += int32(sum - done)
		done = sum
	}
	if t.n == 2 {
		t.second = append(t.second, t.weight[w+1])
	}
}

// A geometry is all that the taps depend on.
type geometry struct {
	v      Viewport
	region image.Rectangle
	factor int
	w, h   int // samples
}

func (g geometry) taps() (x, y taps) {
	ox, oy := g.v.origin()
	x = makeTaps(axis{g.v.W, g.v.VW, ox, g.v.Zoom, g.region.Min.X, g.factor, g.w})
	y = makeTaps(axis{g.v.H, g.v.VH, oy, g.v.Zoom, g.region.Min.Y, g.factor, g.h})
	return x, y
}
