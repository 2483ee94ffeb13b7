// Package density counts where the pixels of a picture lie in a model's coordinates:
// hue and saturation or chroma together, lightness alone. It is what a field of
// colours is drawn from.
package density

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
	Hues   = 720
	Sats   = 256
	Lights = 256
)

// chromaSpan is the chroma over which the bins lie: that of sRGB ends at 134.
const chromaSpan = 160

// maxPixels is how many pixels are counted: as many as 8-bit codes can be
// summed in 32 bits. Of larger pictures every second, third... row is.
const maxPixels = 1 << 24

// A Cell sums the pixels of one bin: how many, and their 8-bit codes.
type Cell struct{ N, R, G, B uint32 }

// A Map says how many of a picture's pixels lie where in a model's
// coordinates, and what colour they have there on average. The zero value is
// empty. While a Map is shown, measure into another one.
type Map struct {
	Model selection.Model
	counts
}

// counts are sums over pixels; whole numbers, so that their order is without
// effect.
type counts struct {
	cells   []Cell // hue by hue, Sats each; pixels that have a hue
	hueless uint64
	Light   [Lights]uint64
	Matte   [Lights]uint64 // weight in the matte, times 255
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
// the lightness; it may be nil. For a plane, which has one coordinate, they are those of LCh. Results are the same for any number of workers.
// Errors: a matte of another size; ctx's, after which d is undefined.
func Measure(ctx context.Context, d *Map, picked *colour.Image, m selection.Model, matte *colour.Plane, workers int) error {
	w, h := picked.Size()
	if matte != nil && !matte.SameSize(picked.R) {
		return fmt.Errorf("density: matte has %d x %d pixels, want the picture's %d x %d", matte.W, matte.H, w, h)
	}
	if m == selection.PlaneModel {
		m = selection.LCh
	}
	d.Model = m
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
		c.cells = make([]Cell, Hues*Sats)
	}
	clear(c.cells)
	c.hueless, c.Light, c.Matte = 0, [Lights]uint64{}, [Lights]uint64{}
}

// take adds what o counted and leaves o empty.
func (c *counts) take(o *counts) {
	for i := range o.cells {
		if p := &o.cells[i]; p.N > 0 {
			q := &c.cells[i]
			q.N, q.R, q.G, q.B = q.N+p.N, q.R+p.R, q.G+p.G, q.B+p.B
			*p = Cell{}
		}
	}
	c.hueless += o.hueless
	for i := range o.Light {
		c.Light[i] += o.Light[i]
		c.Matte[i] += o.Matte[i]
	}
	o.hueless, o.Light, o.Matte = 0, [Lights]uint64{}, [Lights]uint64{}
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
	satScale, lightScale := float32(Sats), float32(Lights)
	if m == selection.LCh {
		satScale, lightScale = float32(Sats)/chromaSpan, float32(Lights)/100
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
			t.Light[bin(v*lightScale, Lights)]++
		}
		return
	}
	colour.Codes8(t.alpha, matte.Row(y))
	for x, v := range t.l {
		i := bin(v*lightScale, Lights)
		t.Light[i]++
		t.Matte[i] += uint64(t.alpha[x])
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
		c := &t.cells[bin(h*(Hues/360), Hues)*Sats+bin(s[x]*satScale, Sats)]
		c.N++
		c.R += uint32(r[x])
		c.G += uint32(g[x])
		c.B += uint32(b[x])
	}
}

// bin returns the whole part of v, clamped to [0,n). A NaN counts as n-1.
func bin(v float32, n int) int {
	if !(v < float32(n)) {
		return n - 1
	}
	return int(max(v, 0))
}

// Top returns the upper end of the field's vertical axis: 1, or for chroma the
// next ten above the 99.9th percentile.
func (d *Map) Top() float64 {
	if d.Model == selection.HSL {
		return 1
	}
	var below [chromaSpan / 10]uint64
	total := d.hueless
	below[0] = d.hueless
	for i := range d.cells {
		n := uint64(d.cells[i].N)
		below[i%Sats/(Sats*10/chromaSpan)] += n
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

// Span is the saturation or chroma over which the cells lie.
func Span(m selection.Model) float64 {
	if m == selection.LCh {
		return chromaSpan
	}
	return 1
}

// Hue returns the bins of a hue by saturation or chroma, for hue bins at any turn;
// nil where nothing was counted.
func (d *Map) Hue(bin int) []Cell {
	if d.cells == nil {
		return nil
	}
	bin = (bin%Hues + Hues) % Hues
	return d.cells[bin*Sats : (bin+1)*Sats]
}
