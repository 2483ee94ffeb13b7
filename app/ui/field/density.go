package field

import (
	"context"
	"fmt"
	"sync"

	"halocline/colour"
	"halocline/selection"
)

// Bins are finer than what the field shows, so that it can zoom: half a degree,
// and 1/256 of saturation or 0.625 of chroma, of which 16 make 10.
const (
	hueBins    = 720
	satBins    = 256
	lightBins  = 256
	chromaSpan = 160 // the chroma of sRGB ends at 134
)

// maxPixels is how many pixels are counted: as many as 8-bit codes can be
// summed in 32 bits. Of larger pictures every second, third... row is.
const maxPixels = 1 << 24

// A cell sums the pixels of one bin: how many, and their 8-bit codes.
type cell struct{ n, r, g, b uint32 }

// A Density says how many of a picture's pixels lie where in a model's
// coordinates, and what colour they have there on average. The zero value is
// empty. While a Field shows a Density, measure into another one.
type Density struct {
	model selection.Model
	counts
}

// counts are sums over pixels; whole numbers, so that their order is without
// effect.
type counts struct {
	cells   []cell // hue by hue, satBins each; pixels that have a hue
	hueless uint64
	light   [lightBins]uint64
	matte   [lightBins]uint64 // weight in the matte, times 255
}

// tallies are 3 MiB each, and wanted again with every picture.
var tallies colour.Pool[tally]

// A tally is what one worker counts, and its rows.
type tally struct {
	counts
	h, s, l        []float32
	r, g, b, alpha []uint8 // codes
}

// Measure counts the pixels of a picture - after base, smoothed if the pick reads
// it so - in the coordinates of m. matte, of the same size, adds its weights to
// the lightness; it may be nil. Results are the same for any number of workers.
// Errors: a matte of another size; ctx's, after which d is undefined.
func Measure(ctx context.Context, d *Density, picked *colour.Image, m selection.Model, matte *colour.Plane, workers int) error {
	w, h := picked.Size()
	if matte != nil && !matte.SameSize(picked.R) {
		return fmt.Errorf("field: matte has %d x %d pixels, want the picture's %d x %d", matte.W, matte.H, w, h)
	}
	d.model = m
	var mu sync.Mutex // over idle
	var idle []*tally // begun, and with nobody now
	stride := 1 + max(0, w*h-1)/maxPixels
	err := colour.EachBand(ctx, workers, h, func(y0, y1 int) {
		t := takeIdle(&mu, &idle)
		t.reshape(w)
		for y := (y0 + stride - 1) / stride * stride; y < y1; y += stride {
			t.row(picked, m, matte, y)
		}
		mu.Lock()
		idle = append(idle, t)
		mu.Unlock()
	})
	d.counts.clear()
	for _, t := range idle {
		d.counts.take(&t.counts)
		tallies.Give(t)
	}
	return err
}

// takeIdle returns a tally of this count, or begins one.
func takeIdle(mu *sync.Mutex, idle *[]*tally) *tally {
	mu.Lock()
	defer mu.Unlock()
	if n := len(*idle); n > 0 {
		t := (*idle)[n-1]
		*idle = (*idle)[:n-1]
		return t
	}
	t := tallies.Take() // those given back are empty
	if t.cells == nil {
		t.counts.clear()
	}
	return t
}

func (c *counts) clear() {
	if c.cells == nil {
		c.cells = make([]cell, hueBins*satBins)
	}
	clear(c.cells)
	c.hueless, c.light, c.matte = 0, [lightBins]uint64{}, [lightBins]uint64{}
}

// take adds what o counted and leaves o empty.
func (c *counts) take(o *counts) {
	for i := range o.cells {
		if p := &o.cells[i]; p.n > 0 {
			q := &c.cells[i]
			q.n, q.r, q.g, q.b = q.n+p.n, q.r+p.r, q.g+p.g, q.b+p.b
			*p = cell{}
		}
	}
	c.hueless += o.hueless
	for i := range o.light {
		c.light[i] += o.light[i]
		c.matte[i] += o.matte[i]
	}
	o.hueless, o.light, o.matte = 0, [lightBins]uint64{}, [lightBins]uint64{}
}

func (t *tally) reshape(w int) {
	for _, p := range []*[]float32{&t.h, &t.s, &t.l} {
		*p = colour.Resized(*p, w)
	}
	for _, p := range []*[]uint8{&t.r, &t.g, &t.b, &t.alpha} {
		*p = colour.Resized(*p, w)
	}
}

// row counts one row.
func (t *tally) row(src *colour.Image, m selection.Model, matte *colour.Plane, y int) {
	r, g, b := src.R.Row(y), src.G.Row(y), src.B.Row(y)
	satScale, lightScale := float32(satBins), float32(lightBins)
	if m == selection.LCh {
		satScale, lightScale = float32(satBins)/chromaSpan, float32(lightBins)/100
		colour.LChRow(t.h, t.s, t.l, r, g, b)
	} else {
		colour.HSLRow(t.h, t.s, t.l, r, g, b)
	}
	colour.Codes8(t.r, r)
	colour.Codes8(t.g, g)
	colour.Codes8(t.b, b)
	t.field(satScale)
	if matte == nil {
		for _, v := range t.l {
			t.light[bin(v*lightScale, lightBins)]++
		}
		return
	}
	colour.Codes8(t.alpha, matte.Row(y))
	for x, v := range t.l {
		i := bin(v*lightScale, lightBins)
		t.light[i]++
		t.matte[i] += uint64(t.alpha[x])
	}
}

// field counts one row's pixels by hue and saturation.
func (t *tally) field(satScale float32) {
	n := len(t.h)
	s, r, g, b := t.s[:n], t.r[:n], t.g[:n], t.b[:n]
	for x, h := range t.h {
		if h < 0 { // no hue
			t.hueless++
			continue
		}
		c := &t.cells[bin(h*(hueBins/360), hueBins)*satBins+bin(s[x]*satScale, satBins)]
		c.n++
		c.r += uint32(r[x])
		c.g += uint32(g[x])
		c.b += uint32(b[x])
	}
}

// bin returns the whole part of v, clamped to [0,n). A NaN counts as n-1.
func bin(v float32, n int) int {
	if !(v < float32(n)) {
		return n - 1
	}
	return int(max(v, 0))
}

// top returns the upper end of the field's vertical axis: 1, or for chroma the
// next ten above the 99.9th percentile.
func (d *Density) top() float64 {
	if d.model == selection.HSL {
		return 1
	}
	var below [chromaSpan / 10]uint64
	total := d.hueless
	below[0] = d.hueless
	for i := range d.cells {
		n := uint64(d.cells[i].n)
		below[i%satBins/(satBins*10/chromaSpan)] += n
		total += n
	}
	if total == 0 {
		return 100
	}
	sum := uint64(0)
	for i, n := range below {
		if sum += n; sum*1000 >= total*999 {
			return float64(10 * (i + 1))
		}
	}
	return chromaSpan
}

// satSpan is the saturation or chroma over which the cells lie.
func satSpan(m selection.Model) float64 {
	if m == selection.LCh {
		return chromaSpan
	}
	return 1
}
