package selection

import (
	"context"
	"image"
	"math"
	"slices"
	"sync"

	"halocline/colour"
)

// Codes is a picture in a model's coordinates: what a pick is weighed from,
// again and again, while its ranges are tuned. Each channel has 24 bits, the
// upper 16 for the tables, the lower 8 for the pixels that the tables leave
// open. It keeps the picture too, for the few that even these cannot decide.
type Codes struct {
	space space
	src   *colour.Image
	code  [Channels]coded
}

// coded is one channel, or one row of it.
type coded struct {
	high []uint16
	low  []uint8
}

func (c *coded) reshape(n int) {
	if cap(c.high) < n {
		c.high, c.low = make([]uint16, n), make([]uint8, n)
	}
	c.high, c.low = c.high[:n], c.low[:n]
}

func (c coded) slice(i, j int) coded { return coded{c.high[i:j], c.low[i:j]} }

// The high parts of hues. Hues take the codes below, evenly round the circle.
const (
	hueCodes = 65534
	// faintHue marks a colour of so little chroma that rounding turns its hue
	// by more than a soft range may bear: by up to 0.0005 degrees over the
	// chroma. Its hue is asked of the definition.
	faintHue = 65534
	noHue    = 65535
)

// faintChroma is the chroma, in Lab units, below which LCh hues are faint.
const faintChroma = 1

// zeroCode returns the high part of 0 on the other channels. Codes below are for
// negative values, the first for all that lies beyond them; so black, where
// many ranges begin, is not at the end of the table. Across a plane there are as many
// below as above.
func zeroCode(m Model) float64 {
	if m == PlaneModel {
		return 32768
	}
	return 256
}

// scale returns how many high codes a unit of channel c takes. Beyond the last
// code lie values that sRGB cannot reach: saturation and lightness over 1.06,
// chroma over 140 Lab units, L* over 110, 172 across a plane.
func scale(m Model, c Channel) float64 {
	switch {
	case c == Hue:
		return hueCodes / 360.
	case m == PlaneModel:
		return 190
	case m == HSL:
		return 61440
	case c == Sat:
		return 466
	}
	return 593
}

// Convert makes c the codes of src in the coordinates of a pick, whatever its limits,
// reusing c's memory. src must not change as long as c is in use. Error: ctx's.
func (c *Codes) Convert(ctx context.Context, src *colour.Image, by Pick, workers int) error {
	w, h := src.Size()
	c.space, c.src = by.space(), src
	for i := range c.code {
		c.code[i].reshape(w * h)
	}
	return colour.EachBand(ctx, workers, h, func(y0, y1 int) {
		l := takeLine(w)
		defer lines.Put(l)
		for y := y0; y < y1; y++ {
			l.encode(c.row(y, w), c.space, src.R.Row(y), src.G.Row(y), src.B.Row(y))
		}
	})
}

// ConvertParts makes c the codes of parts of src, which lie apart. Of the rest c
// has what old has, the codes of the same colours, or nothing where old is nil.
// Parts that are in neither must not be weighed. src, which c keeps, must have all
// of what is in c, and must not change. Error: ctx's.
func (c *Codes) ConvertParts(ctx context.Context, old *Codes, src *colour.Image, by Pick, parts []image.Rectangle, workers int) error {
	w, h := src.Size()
	c.space, c.src = by.space(), src
	for i := range c.code {
		if old != nil {
			c.code[i] = coded{slices.Clone(old.code[i].high), slices.Clone(old.code[i].low)}
		}
		c.code[i].reshape(w * h)
	}
	return colour.EachPart(ctx, workers, parts, func(r image.Rectangle) {
		l := takeLine(r.Dx())
		defer lines.Put(l)
		for y := r.Min.Y; y < r.Max.Y; y++ {
			l.encode(c.part(y, w, r), c.space, src.R.Row(y)[r.Min.X:r.Max.X], src.G.Row(y)[r.Min.X:r.Max.X], src.B.Row(y)[r.Min.X:r.Max.X])
		}
	})
}

// part returns the codes of row y of w that lie in r.
func (c *Codes) part(y, w int, r image.Rectangle) (row [Channels]coded) {
	for i, all := range c.row(y, w) {
		row[i] = all.slice(r.Min.X, r.Max.X)
	}
	return row
}

func (c *Codes) row(y, w int) [Channels]coded {
	i, j := y*w, (y+1)*w
	return [Channels]coded{c.code[Hue].slice(i, j), c.code[Sat].slice(i, j), c.code[Light].slice(i, j)}
}

// A line is the working memory for one row of pixels.
type line struct {
	value [Channels][]float32
	code  [Channels]coded
}

var lines = sync.Pool{New: func() any { return new(line) }}

func takeLine(w int) *line {
	l := lines.Get().(*line)
	for i := range l.value {
		if cap(l.value[i]) < w {
			l.value[i] = make([]float32, w)
		}
		l.value[i] = l.value[i][:w]
		l.code[i].reshape(w)
	}
	return l
}

// encode turns a row of R, G, B into codes. Those of a plane are on Across alone.
func (l *line) encode(dst [Channels]coded, by space, r, g, b []float32) {
	h, s, v := l.value[Hue], l.value[Sat], l.value[Light]
	m := by.model
	switch m {
	case HSL:
		colour.HSLRow(h, s, v, r, g, b)
	case LCh:
		colour.LChRow(h, s, v, r, g, b)
	case PlaneModel:
		colour.LabRow(v, h, s, r, g, b)
		by.acrossRow(v[:len(r)], v, h, s)
		encodeLine(dst[Across], v, float32(256*scale(m, Across)), float32(256*zeroCode(m)))
		return
	}
	encodeHue(dst[Hue], h)
	encodeLine(dst[Sat], s, float32(256*scale(m, Sat)), float32(256*zeroCode(m)))
	encodeLine(dst[Light], v, float32(256*scale(m, Light)), float32(256*zeroCode(m)))
	if m == LCh {
		markFaint(dst[Hue].high, s)
	}
}

func encodeHue(dst coded, hue []float32) {
	const unit = 256 * hueCodes / 360.
	high, low := dst.high[:len(hue)], dst.low[:len(hue)]
	for x, h := range hue {
		k := min(int32(h*unit), 256*hueCodes-1)
		if h < 0 {
			k = noHue << 8
		}
		high[x], low[x] = uint16(k>>8), uint8(k)
	}
}

func encodeLine(dst coded, v []float32, unit, zero float32) {
	const last = 1<<24 - 1
	high, low := dst.high[:len(v)], dst.low[:len(v)]
	for x, f := range v {
		f = float32(f*unit) + zero
		k := int32(last)
		if f < last { // before the conversion, which wraps
			k = max(int32(f), 0)
		}
		high[x], low[x] = uint16(k>>8), uint8(k)
	}
}

func markFaint(hue []uint16, chroma []float32) {
	chroma = chroma[:len(hue)]
	for x := range hue {
		if chroma[x] < faintChroma && hue[x] != noHue {
			hue[x] = faintHue
		}
	}
}

// decode returns the value in the middle of what a code of channel c stands
// for; ok is false where codes end and the definition must be asked.
func decode(m Model, c Channel, high uint16, low uint8) (v float64, ok bool) {
	k := float64(high) + (float64(low)+0.5)/256
	if c == Hue {
		return k / scale(m, c), high != faintHue
	}
	return (k - zeroCode(m)) / scale(m, c), high != 0 && high != math.MaxUint16
}
