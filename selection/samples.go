package selection

import (
	"cmp"
	"context"
	"math"
	"slices"

	"halocline/colour"
)

// A Dab is the colours of one sampled place, and whether the selection must
// keep them or drop them. Dabs, not pixels, are the independent samples: the
// pixels of one dab share its light and its material, so each dab counts as
// much as the next, however many pixels it has.
type Dab struct {
	Keep    bool
	Colours []colour.RGB // order is without meaning
}

// bins is how finely samples are told apart on each channel: 0.35 degrees of
// hue, a quarter of an 8-bit code of saturation or lightness.
const bins = 1024

// span returns the values between which bins lie on channel c of model m. The
// chroma of sRGB ends at 133.8; samples outside count in the last bin.
func span(m Model, c Channel) (lo, hi float64) {
	switch {
	case c == Hue:
		return 0, 360
	case m == HSL:
		return 0, 1
	case m == PlaneModel:
		return -farthest, farthest
	case c == Sat:
		return 0, 140
	}
	return 0, 100
}

// A cell is a group of one dab's pixels that fall in the same three bins.
type cell struct {
	dab   int
	bin   [Channels]int16 // bin[Hue] is -1 where there is no hue
	count float64
}

// samples are dabs in one model's coordinates, gathered in cells so that a
// million pixels fit as fast as a few thousand, in an order that does not
// depend on that of the pixels.
type samples struct {
	model Model
	keep  []bool    // of each dab
	given []int     // of each dab: which of those that were gathered
	count []float64 // pixels of each dab
	mid   [][Channels]float64
	cells []cell              // sorted by dab, then bins
	first []int               // the first cell of each dab, and the end
	slot  *[Channels][]uint16 // of each cell, see slotsOf
}

// cellsOf returns the cells of one dab.
func (s *samples) cellsOf(dab int) []cell { return s.cells[s.first[dab]:s.first[dab+1]] }

// gather puts dabs in cells, for a plane in those of LCh. Dabs are sorted by content, so
// that their order is without effect too; empty dabs are left out.
func gather(dabs []Dab, m Model) *samples {
	if m == PlaneModel {
		m = LCh
	}
	groups := make([]dabGroup, len(dabs))
	eachInParallel(len(dabs), func(i int) { groups[i] = dabGroup{dabCells(dabs[i], m), i} })
	groups = slices.DeleteFunc(groups, func(g dabGroup) bool { return len(g.cells) == 0 })
	slices.SortStableFunc(groups, func(a, b dabGroup) int { return slices.CompareFunc(a.cells, b.cells, compareCells) })
	s := &samples{model: m, cells: make([]cell, 0, total(groups))}
	for i, g := range groups {
		cells := g.cells
		s.given = append(s.given, g.given)
		s.first = append(s.first, len(s.cells))
		s.keep = append(s.keep, cells[0].dab == keepFirst)
		n := 0.0
		for _, c := range cells {
			c.dab = i
			n += c.count
			s.cells = append(s.cells, c)
		}
		s.count = append(s.count, n)
		s.mid = append(s.mid, middles(cells, m))
	}
	s.first = append(s.first, len(s.cells))
	s.slot = slotsOf(s.cells)
	return s
}

// A dabGroup is the cells of one dab, and which of those given it is.
type dabGroup struct {
	cells []cell
	given int
}

func total(groups []dabGroup) (n int) {
	for _, g := range groups {
		n += len(g.cells)
	}
	return n
}

// eachInParallel calls work for 0 to n-1, one after another on each processor.
func eachInParallel(n int, work func(i int)) {
	// A band of its own for each; a context that never ends gives no error.
	_ = colour.EachBand(context.Background(), 0, n*colour.BandRows, func(y0, _ int) { work(y0 / colour.BandRows) })
}

// Until dabs are sorted, the dab of a cell stands for its kind.
const (
	keepFirst = iota
	dropAfter
)

// dabCells returns the cells of one dab, sorted by bins. Colours that are not
// finite are left out.
func dabCells(d Dab, m Model) (cells []cell) {
	kind := keepFirst
	if !d.Keep {
		kind = dropAfter
	}
	keys := make([]uint32, 0, len(d.Colours))
	for _, c := range d.Colours {
		if finite(c.R, c.G, c.B) {
			keys = append(keys, packed(binsOf(m, m.At(c))))
		}
	}
	slices.Sort(keys)
	for i := 0; i < len(keys); {
		first := i
		for i < len(keys) && keys[i] == keys[first] {
			i++
		}
		cells = append(cells, cell{dab: kind, bin: unpacked(keys[first]), count: float64(i - first)})
	}
	return cells
}

// packed returns three bins as a number that sorts as they do.
func packed(b [Channels]int16) uint32 {
	return (uint32(b[Hue]+1)*bins+uint32(b[Sat]))*bins + uint32(b[Light])
}

func unpacked(key uint32) [Channels]int16 {
	return [Channels]int16{int16(key/(bins*bins)) - 1, int16(key / bins % bins), int16(key % bins)}
}

func compareCells(a, b cell) int {
	return cmp.Or(cmp.Compare(a.dab, b.dab), slices.Compare(a.bin[:], b.bin[:]), cmp.Compare(a.count, b.count))
}

func binsOf(m Model, p Point) (b [Channels]int16) {
	for c := range Channels {
		lo, hi := span(m, c)
		v := (p[c] - lo) / (hi - lo) * bins
		switch {
		case c == Hue && p[c] == colour.NoHue:
			b[c] = -1
		case v >= bins:
			b[c] = bins - 1
		case v > 0: // not NaN
			b[c] = int16(v)
		}
	}
	return b
}

// middles returns the median of a dab's cells on each channel: some wrong
// pixels must not move a dab. On the hue circle it is the median of the arcs
// from the mean direction; without any hue it is NaN.
func middles(cells []cell, m Model) (mid [Channels]float64) {
	for c := range Channels {
		marginal := marginalOf(cells, m, c)
		if c != Hue {
			mid[c] = medianOf(marginal)
			continue
		}
		if len(marginal) == 0 {
			mid[c] = math.NaN()
			continue
		}
		mean := meanHue(marginal)
		for i := range marginal {
			marginal[i].value = float64(mean.ArcTo(colour.Degrees(marginal[i].value)))
		}
		mid[c] = float64((mean + colour.Degrees(medianOf(marginal))).Norm())
	}
	return mid
}

// marginalOf returns how many pixels lie at the middle of each bin of channel c.
func marginalOf(cells []cell, m Model, c Channel) (out []weighted) {
	var count [bins]float64
	for _, k := range cells {
		if k.bin[c] >= 0 {
			count[k.bin[c]] += k.count
		}
	}
	for bin, n := range count {
		if n > 0 {
			out = append(out, weighted{middleOf(m, c, bin), n})
		}
	}
	return out
}

// middleOf returns the value in the middle of a bin.
func middleOf(m Model, c Channel, bin int) float64 {
	lo, hi := span(m, c)
	return lo + (float64(bin)+0.5)/bins*(hi-lo)
}

// meanHue returns the direction of the sum of unit vectors.
func meanHue(hues []weighted) colour.Degrees {
	var x, y float64
	for _, h := range hues {
		sin, cos := math.Sincos(h.value * math.Pi / 180)
		x += cos * h.count
		y += sin * h.count
	}
	return colour.Degrees(math.Atan2(y, x) * 180 / math.Pi).Norm()
}

// medianOf returns the least value at or below which half of the pixels lie. It
// sorts the values.
func medianOf(values []weighted) float64 {
	slices.SortFunc(values, func(a, b weighted) int { return cmp.Compare(a.value, b.value) })
	half := 0.0
	for _, v := range values {
		half += v.count / 2
	}
	for _, v := range values {
		half -= v.count
		if half <= 0 {
			return v.value
		}
	}
	return values[len(values)-1].value
}

// dabsOf returns how many dabs of each kind there are, without dab out.
func (s *samples) dabsOf(out int) (keep, drop int) {
	for i, k := range s.keep {
		switch {
		case i == out:
		case k:
			keep++
		default:
			drop++
		}
	}
	return keep, drop
}
