package colour

import (
	"cmp"
	"math"
	"slices"
)

// sampleTrim is the share of a sample's pixels left out at either end, so that
// a speck or a glint in the disc does not count.
const sampleTrim = 0.1

// Sample returns the mean linear light of R, G and B, by the curve of b's input,
// over the pixels of m, as it came, whose centres lie within radius of (x,y), all in pixels, and their number n. The
// pixel that contains the point always counts. In each channel the lowest and the
// highest tenth are left out. Outside the picture n is 0.
func (b Base) Sample(m *Image, x, y, radius float64) (light [3]float64, n int) {
	w, h := m.Size()
	var values [3][]float64
	EachInDisc(x, y, radius, w, h, func(px, py int) {
		for c, p := range []Plane{m.R, m.G, m.B} {
			if v := p.At(px, py); isFinite(v) {
				values[c] = append(values[c], b.Input.Light(float64(v)))
			}
		}
		n++
	})
	for c := range light {
		light[c] = trimmedMean(values[c])
	}
	return light, n
}

// darkestShare is the share of a disc's pixels that is taken for the darkest thing in it,
// and leastDarkest how many they are at the least: single pixels tell of noise.
const (
	darkestShare = 0.05
	leastDarkest = 9
)

// Darkest returns the mean linear light of the darkest pixels of a disc, as Sample has
// one: those of the least luminance, a twentieth of them and at least nine. n is how
// many pixels the disc has, 0 outside the picture.
func (b Base) Darkest(m *Image, x, y, radius float64) (light [3]float64, n int) {
	w, h := m.Size()
	var all [][3]float64
	EachInDisc(x, y, radius, w, h, func(px, py int) {
		c := m.RGB(px, py)
		if one := [3]float64{b.Input.Light(c.R), b.Input.Light(c.G), b.Input.Light(c.B)}; Luminance(one)-Luminance(one) == 0 {
			all = append(all, one)
		}
		n++
	})
	slices.SortStableFunc(all, func(p, q [3]float64) int { return cmp.Compare(Luminance(p), Luminance(q)) })
	all = all[:min(len(all), max(leastDarkest, int(darkestShare*float64(len(all)))))]
	for _, one := range all {
		for c, v := range one {
			light[c] += v / float64(len(all))
		}
	}
	return light, n
}

// EachInDisc calls visit, row by row, for the pixels of a w x h picture whose
// centres lie within radius of (x,y), all in pixels, and for the one that contains
// that point.
func EachInDisc(x, y, radius float64, w, h int, visit func(x, y int)) {
	x0, x1 := discSpan(x, radius, w)
	y0, y1 := discSpan(y, radius, h)
	for py := y0; py < y1; py++ {
		for px := x0; px < x1; px++ {
			dx, dy := float64(px)+0.5-x, float64(py)+0.5-y
			central := px == int(math.Floor(x)) && py == int(math.Floor(y))
			if central || float64(dx*dx)+float64(dy*dy) <= radius*radius {
				visit(px, py)
			}
		}
	}
}

// discSpan returns the pixels [first,end) below size that a disc may touch.
func discSpan(at, radius float64, size int) (first, end int) {
	low, high := math.Floor(at-radius), math.Floor(at+radius)+1
	if !(low <= high) { // not a number
		return 0, 0
	}
	return int(max(0, min(low, float64(size)))), int(max(0, min(high, float64(size))))
}

func trimmedMean(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	slices.Sort(values)
	cut := int(sampleTrim * float64(len(values)))
	values = values[cut : len(values)-cut]
	var sum float64
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}
