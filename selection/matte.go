package selection

import (
	"context"
	"image"
	"math"

	"halocline/colour"
)

// A Weigher turns pictures into mattes by one pick. It answers from tables over
// the high codes; where a weight varies too much within what one of them stands
// for (in narrow fades, at hard edges), the formula answers from all 24 bits,
// or from the pixel itself. So its weights are within 0.001 of Pick.Weight; and
// it is the one arithmetic that window and command line share. Set a pick
// first. It may be used by several goroutines as long as none calls Set.
type Weigher struct {
	pick   Pick
	ready  bool
	tables [Channels]*table
}

// Set makes p the pick to weigh by; only the tables that change are built anew.
func (w *Weigher) Set(p Pick) {
	for c := range Channels {
		if w.ready && w.pick.Model == p.Model && w.pick.Limits[c] == p.Limits[c] {
			continue
		}
		if w.tables[c] == nil {
			w.tables[c] = new(table)
		}
		p.limit(c).tabulate(w.tables[c], p.Model, c)
	}
	w.pick, w.ready = p, true
}

// Matte fills dst with how much of each pixel of c the pick keeps. c must be in
// the pick's coordinates. Error: ctx's.
func (w *Weigher) Matte(ctx context.Context, dst *colour.Plane, c *Codes, workers int) error {
	if c.space != w.pick.space() {
		panic("selection: codes and pick are in different coordinates")
	}
	width, h := c.src.Size()
	dst.Reshape(width, h)
	return colour.EachBand(ctx, workers, h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			w.row(dst.Row(y), c.row(y, width), c.src, 0, y)
		}
	})
}

// MatteParts is Matte for parts that lie apart: there dst, which must have the
// size of c, gets the bits that Matte would give it, and elsewhere it stays as it
// is.
func (w *Weigher) MatteParts(ctx context.Context, dst *colour.Plane, c *Codes, parts []image.Rectangle, workers int) error {
	if c.space != w.pick.space() {
		panic("selection: codes and pick are in different coordinates")
	}
	return colour.EachPart(ctx, workers, parts, func(r image.Rectangle) {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			w.row(dst.Row(y)[r.Min.X:r.Max.X], c.part(y, dst.W, r), c.src, r.Min.X, y)
		}
	})
}

// row is the loop of the fast form: it weighs src from (x0,y) on.
func (w *Weigher) row(dst []float32, code [Channels]coded, src *colour.Image, x0, y int) {
	th, ts, tl := w.tables[Hue], w.tables[Sat], w.tables[Light]
	hue, sat, light := code[Hue].high[:len(dst)], code[Sat].high[:len(dst)], code[Light].high[:len(dst)]
	for x := range dst {
		v := th[hue[x]]
		if v == 0 {
			dst[x] = 0
			continue
		}
		v *= ts[sat[x]] * tl[light[x]]
		if math.Float32bits(v) > colour.BitsOfOne { // below 0 or above 1 or -0
			v = w.define(code, src, x0, x, y)
		}
		dst[x] = v
	}
}

// define asks the formula about the pixel of codes x, which is (x0+x,y) of src.
func (w *Weigher) define(code [Channels]coded, src *colour.Image, x0, x, y int) float32 {
	weight := 1.0
	for c := range Channels {
		high := code[c].high[x]
		if t := w.tables[c][high]; t >= 0 {
			weight *= float64(t)
			continue
		}
		v, ok := decode(w.pick.Model, c, high, code[c].low[x])
		if !ok || w.tables[c][high] == askPixel {
			return float32(w.pick.Weight(w.pick.At(src.RGB(x0+x, y))))
		}
		weight *= w.pick.limit(c).Weight(c, v)
	}
	return float32(weight)
}
