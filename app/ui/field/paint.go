package field

import (
	"image"
	"image/color"
	"math"

	"halocline/app/ui/look"
	"halocline/app/view/density"
	"halocline/colour"
	"halocline/selection"
)

// How strongly the field's bins show on the plot's ground.
const (
	outside  = 0.76 // beyond the pick, of what they are inside
	faintest = 0.3  // a bin of one pixel; the fullest is 1
)

// A bins picture is the density as it stands in the window: one value for each
// bin of binSize.
type binned struct {
	cols, rows int
	n          []float64 // pixels, col by col
	colour     [][3]float64
	most       float64
}

// binnedOf gathers cells in cols x rows bins of the field. A cell that lies in two
// bins is shared out, so that no bin gains by rounding.
func binnedOf(d *density.Map, w hueWindow, top float64, cols, rows int) binned {
	out := binned{cols: cols, rows: rows, n: make([]float64, cols*rows), colour: make([][3]float64, cols*rows)}
	if d.Hue(0) == nil {
		return out
	}
	up := shares(rows, density.Sats, func(i float64) float64 { return i / float64(rows) * top / density.Span(d.Model) * density.Sats })
	var column [density.Sats][4]float64
	for x := range cols {
		column = [density.Sats][4]float64{}
		lo := w.at(float64(x)/float64(cols)) / 360 * density.Hues
		hi := w.at(float64(x+1)/float64(cols)) / 360 * density.Hues
		for h := math.Floor(lo); h < hi; h++ {
			gather(&column, d.Hue(int(h)), min(h+1, hi)-max(h, lo))
		}
		for y, row := range up {
			var sum [4]float64
			for i, s := range row.share {
				c := &column[row.first+i]
				sum[0] += c[0] * s
				sum[1] += c[1] * s
				sum[2] += c[2] * s
				sum[3] += c[3] * s
			}
			if sum[0] > 0 {
				at := x*rows + y
				out.n[at] = sum[0]
				out.colour[at] = [3]float64{sum[1] / sum[0], sum[2] / sum[0], sum[3] / sum[0]}
				out.most = max(out.most, sum[0])
			}
		}
	}
	return out
}

// gather adds a share of the cells of one hue.
func gather(column *[density.Sats][4]float64, cells []density.Cell, share float64) {
	for i, c := range cells {
		if c.N > 0 {
			to := &column[i]
			to[0] += float64(c.N) * share
			to[1] += float64(c.R) * share
			to[2] += float64(c.G) * share
			to[3] += float64(c.B) * share
		}
	}
}

// A span is a run of cells and how much of each lies in a bin.
type span struct {
	first int
	share []float64
}

// shares returns for each of n bins the cells, of which there are limit, that
// lie between edge(i) and edge(i+1).
func shares(n, limit int, edge func(i float64) float64) []span {
	spans := make([]span, n)
	for i := range spans {
		lo, hi := edge(float64(i)), min(edge(float64(i+1)), float64(limit))
		spans[i].first = int(lo)
		for c := math.Floor(lo); c < hi; c++ {
			spans[i].share = append(spans[i].share, min(c+1, hi)-max(c, lo))
		}
	}
	return spans
}

// strength returns how strongly a bin of n pixels shows, most being the fullest:
// by the logarithm.
func strength(n, most float64) float64 {
	if most <= 1 {
		return min(n, 1)
	}
	return min(n, 1)*faintest + (1-faintest)*math.Log1p(n)/math.Log1p(most)
}

// A plot is the field's picture at screen pixels, as it is inside the pick and
// outside it.
type plot struct{ inside, outside *image.RGBA }

// paint draws the density. The picture begins at the layout's plot.
func paint(v view, d *density.Map) plot {
	w, h := int(v.plot.w()), int(v.plot.h())
	size := max(1, int(math.Round(v.dp(binSize))))
	cols, rows := (w+size-1)/size, (h+size-1)/size
	// The last column and row are cut: the window goes on behind them.
	window := hueWindow{v.window.at(0.5 * float64(cols*size) / float64(w)), v.window.width * float64(cols*size) / float64(w)}
	b := binnedOf(d, window, v.top*float64(rows*size)/float64(h), cols, rows)
	p := plot{image.NewRGBA(image.Rect(0, 0, w, h)), image.NewRGBA(image.Rect(0, 0, w, h))}
	for x := range cols {
		for y := range rows {
			at := x*rows + y
			a := strength(b.n[at], b.most)
			r := image.Rect(x*size, h-(y+1)*size, (x+1)*size, h-y*size)
			fillBin(p.inside, r, over(look.Plot, b.colour[at], a))
			fillBin(p.outside, r, over(look.Plot, b.colour[at], a*outside))
		}
	}
	return p
}

// over returns a colour of codes laid over a ground.
func over(ground color.NRGBA, c [3]float64, a float64) [4]uint8 {
	mix := func(g uint8, v float64) uint8 { return uint8(math.Round(float64(g) + a*(v-float64(g)))) }
	return [4]uint8{mix(ground.R, c[0]), mix(ground.G, c[1]), mix(ground.B, c[2]), 255}
}

func fillBin(dst *image.RGBA, r image.Rectangle, c [4]uint8) {
	r = r.Intersect(dst.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := dst.Pix[dst.PixOffset(r.Min.X, y):dst.PixOffset(r.Max.X, y)]
		for i := 0; i < len(row); i += 4 {
			copy(row[i:i+4], c[:])
		}
	}
}

// lighten mixes the inside picture into dst, which has the outside one at
// (0, the plot's top), by the weight that a pick gives the hue and the saturation.
func (p *plot) lighten(dst *image.RGBA, at *placed) {
	w, h := p.inside.Rect.Dx(), p.inside.Rect.Dy()
	limits, model := &at.pick.Limits, at.pick.Model
	across := make([]uint16, w)
	first, last := w, 0
	for x := range across {
		hue := norm(at.window.at((float64(x) + 0.5) / float64(w)))
		if across[x] = weight16(limits[selection.Hue].Weight(selection.Hue, hue)); across[x] > 0 {
			first, last = min(first, x), x+1
		}
	}
	top := int(at.plot.y0)
	for y := range h {
		sat := (1 - (float64(y)+0.5)/float64(h)) * at.scaleOf(model, selection.Sat)
		up := uint32(weight16(limits[selection.Sat].Weight(selection.Sat, sat)))
		if up == 0 || first >= last {
			continue
		}
		in := p.inside.Pix[p.inside.PixOffset(first, y):]
		out := dst.Pix[dst.PixOffset(int(at.plot.x0)+first, top+y):]
		for x, a := range across[first:last] {
			share := int32(up * uint32(a) >> 8)
			for i := 4 * x; i < 4*x+3; i++ {
				out[i] += uint8((int32(in[i]) - int32(out[i])) * share >> 8)
			}
		}
	}
}

// weight16 returns a weight in 256ths.
func weight16(w float64) uint16 { return uint16(math.Round(w * 256)) }

// hatch darkens diagonal stripes in a rectangle: what an inverted limit leaves
// out.
func hatch(dst *image.RGBA, b box, pitch int) {
	r := image.Rect(int(math.Round(b.x0)), int(math.Round(b.y0)), int(math.Round(b.x1)), int(math.Round(b.y1))).Intersect(dst.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			p := dst.Pix[dst.PixOffset(x, y):][:3]
			switch phase := (x + y) % pitch * 3; {
			case phase < pitch: // dark
				for i := range p {
					p[i] /= 2
				}
			case phase < 2*pitch: // light
				for i := range p {
					p[i] += (255 - p[i]) / 5
				}
			}
		}
	}
}

// bars returns for each of n rows, from the top, how long the lightness bar is
// of what is counted: the fullest is 1.
func bars(counts *[density.Lights]uint64, n int) []float64 {
	out := make([]float64, n)
	most := 0.0
	for i, s := range shares(n, density.Lights, func(i float64) float64 { return i / float64(n) * density.Lights }) {
		for j, share := range s.share {
			out[n-1-i] += float64(counts[s.first+j]) * share
		}
		most = max(most, out[n-1-i])
	}
	if most > 0 {
		for i := range out {
			out[i] /= most
		}
	}
	return out
}

// hueColour is what the ribbon shows of a hue in a model.
func hueColour(m selection.Model, hue float64) [3]float64 {
	c := colour.HSL{H: colour.Degrees(hue), S: 0.45, L: 0.56}.RGB()
	if m == selection.LCh {
		c = colour.LCh{H: colour.Degrees(hue), C: 32, L: 65}.Lab().RGB()
	}
	code := func(v float64) float64 { return float64(colour.Code8(float32(v))) }
	return [3]float64{code(c.R), code(c.G), code(c.B)}
}
