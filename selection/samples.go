package selection

import (
	"cmp"
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
// hue, a quarter of an 8-bit step of saturation or lightness.
const bins = 1024

// span returns the values between which bins lie on channel c of model m. The
// chroma of sRGB ends at 133.8; samples outside count in the last bin.
func span(m Model, c Channel) (lo, hi float64) {
	switch {
	case c == Hue:
		return 0, 360
	case m == HSL:
		return 0, 1
	case c == Sat:
		return 0, 140
	}
	return 0, 100
}

// A cell is a group of one dab's pixels that fall in the same three bins.
type cell struct {
	dab   int
	bin   [3]int // bin[Hue] is -1 where there is no hue
	count float64
}

// samples are dabs in one model's coordinates, gathered in cells so that a
// million pixels fit as fast as a few thousand, in an order that does not
// depend on that of the pixels.
type samples struct {
	model Model
	keep  []bool    // of each dab
	count []float64 // pixels of each dab
	cells []cell    // sorted by dab, then bins
	mid   [][3]float64
}

// gather puts dabs in cells. Dabs are sorted by content, so that their order
// is without effect too; empty dabs are left out.
func gather(dabs []Dab, m Model) *samples {
	s := &samples{model: m}
	var groups [][]cell
	for _, d := range dabs {
		if len(d.Colours) == 0 {
			continue
		}
		cells := dabCells(d, m)
		if !d.Keep { // sorted behind the keep dabs
			for i := range cells {
				cells[i].dab = 1
			}
		}
		groups = append(groups, cells)
	}
	slices.SortFunc(groups, func(a, b []cell) int { return slices.CompareFunc(a, b, compareCells) })
	for i, cells := range groups {
		s.keep = append(s.keep, cells[0].dab == 0)
		n := 0.0
		for _, c := range cells {
			c.dab = i
			n += c.count
			s.cells = append(s.cells, c)
		}
		s.count = append(s.count, n)
		s.mid = append(s.mid, middles(cells, m))
	}
	return s
}

// dabCells returns the cells of one dab, sorted by bins.
func dabCells(d Dab, m Model) []cell {
	counts := map[[3]int]float64{}
	for _, c := range d.Colours {
		counts[binsOf(m, m.At(c))]++
	}
	cells := make([]cell, 0, len(counts))
	for bin, n := range counts {
		cells = append(cells, cell{bin: bin, count: n})
	}
	slices.SortFunc(cells, compareCells)
	return cells
}

func compareCells(a, b cell) int {
	return cmp.Or(cmp.Compare(a.dab, b.dab), slices.Compare(a.bin[:], b.bin[:]), cmp.Compare(a.count, b.count))
}

func binsOf(m Model, p Point) (b [3]int) {
	for c := Hue; c <= Light; c++ {
		lo, hi := span(m, c)
		v := (p[c] - lo) / (hi - lo) * bins
		switch {
		case c == Hue && p[c] == colour.NoHue:
			b[c] = -1
		case v >= bins:
			b[c] = bins - 1
		case v > 0: // not NaN
			b[c] = int(v)
		}
	}
	return b
}

// middles returns the median of a dab's cells on each channel: some wrong
// pixels must not move a dab. On the hue circle it is the median of the arcs
// from the mean direction; without any hue it is NaN.
func middles(cells []cell, m Model) (mid [3]float64) {
	for c := Hue; c <= Light; c++ {
		lo, hi := span(m, c)
		value := func(k cell) float64 { return lo + (float64(k.bin[c])+0.5)/bins*(hi-lo) }
		if c != Hue {
			mid[c] = medianOf(cells, value)
			continue
		}
		hues := slices.DeleteFunc(slices.Clone(cells), func(k cell) bool { return k.bin[Hue] < 0 })
		if len(hues) == 0 {
			mid[c] = math.NaN()
			continue
		}
		mean := meanHue(hues, value)
		arc := medianOf(hues, func(k cell) float64 { return float64(mean.ArcTo(colour.Degrees(value(k)))) })
		mid[c] = float64((mean + colour.Degrees(arc)).Norm())
	}
	return mid
}

// meanHue returns the direction of the sum of the cells' unit vectors.
func meanHue(cells []cell, value func(cell) float64) colour.Degrees {
	var x, y float64
	for _, k := range cells {
		sin, cos := math.Sincos(value(k) * math.Pi / 180)
		x += cos * k.count
		y += sin * k.count
	}
	return colour.Degrees(math.Atan2(y, x) * 180 / math.Pi).Norm()
}

// medianOf returns the value below which half of the pixels lie.
func medianOf(cells []cell, value func(cell) float64) float64 {
	sorted := slices.Clone(cells)
	slices.SortStableFunc(sorted, func(a, b cell) int { return cmp.Compare(value(a), value(b)) })
	half := 0.0
	for _, k := range sorted {
		half += k.count / 2
	}
	for _, k := range sorted {
		half -= k.count
		if half <= 0 {
			return value(k)
		}
	}
	return value(sorted[len(sorted)-1])
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
