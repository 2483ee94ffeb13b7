package colour

import (
	"math"
	"slices"
)

// Noise estimates the standard deviation of the noise in each channel of m,
// in the units of the samples: J. Immerkaer, "Fast Noise Variance Estimation",
// Computer Vision and Image Understanding 64(2):300-302, 1996. The mask
//
//	 1 -2  1
//	-2  4 -2
//	 1 -2  1
//
// cancels planes and straight edges along the axes; what it leaves, averaged
// without sign, is sigma = sqrt(pi/2) / (6 (W-2) (H-2)) * sum |I * N|. Fine
// texture counts as noise. A picture under 3 pixels wide or high has no
// estimate: 0. Samples that are not finite are left out.
func Noise(m *Image) [3]float64 {
	return [3]float64{planeNoise(m.R), planeNoise(m.G), planeNoise(m.B)}
}

func planeNoise(p Plane) float64 {
	if p.W < 3 || p.H < 3 {
		return 0
	}
	var sum float64
	left := (p.W - 2) * (p.H - 2)
	for y := 1; y < p.H-1; y++ {
		above, row, below := p.Row(y-1), p.Row(y), p.Row(y+1)
		s := rowNoise(above, row, below)
		if math.IsNaN(s) || math.IsInf(s, 0) {
			var bad int
			s, bad = finiteRowNoise(above, row, below)
			left -= bad
		}
		sum += s
	}
	if left == 0 {
		return 0
	}
	return sum * math.Sqrt(math.Pi/2) / (6 * float64(left))
}

// bend is the second difference over three samples; the mask is its product
// with itself across and down.
func bend(a, b, c float32) float32 { return a + c - (b + b) }

// rowNoise returns sum |I * N| over the inner samples of a row. It walks the
// row with the three last columns' bends in hand, so that each sample is read
// once.
func rowNoise(above, row, below []float32) float64 {
	above, below = above[:len(row)], below[:len(row)]
	left := bend(above[0], row[0], below[0])
	mid := bend(above[1], row[1], below[1])
	var sum float64
	for x := 2; x < len(row); {
		// Runs of 64 in float32, joined in float64: as good as float64 throughout.
		end := min(x+64, len(row))
		var run float32
		for ; x < end; x++ {
			right := bend(above[x], row[x], below[x])
			v := bend(left, mid, right)
			run += math.Float32frombits(math.Float32bits(v) &^ (1 << 31)) // |v|
			left, mid = mid, right
		}
		sum += float64(run)
	}
	return sum
}

// finiteRowNoise is rowNoise without the places where the mask meets a sample
// that is not finite, and their number.
func finiteRowNoise(above, row, below []float32) (sum float64, bad int) {
	for x := 1; x < len(row)-1; x++ {
		v := float64(bend(
			bend(above[x-1], row[x-1], below[x-1]),
			bend(above[x], row[x], below[x]),
			bend(above[x+1], row[x+1], below[x+1])))
		if math.IsNaN(v) || math.IsInf(v, 0) {
			bad++
			continue
		}
		sum += math.Abs(v)
	}
	return sum, bad
}

// MedianNoise joins the noise of several frames of a clip into one figure for
// each channel: the median, which a frame with rain, fire or a title in it
// does not move. Of an even number it is the mean of the middle two; of none, 0.
func MedianNoise(frames [][3]float64) [3]float64 {
	var noise [3]float64
	if len(frames) == 0 {
		return noise
	}
	values := make([]float64, len(frames))
	for c := range noise {
		for i, f := range frames {
			values[i] = f[c]
		}
		slices.Sort(values)
		n := len(values)
		noise[c] = (values[(n-1)/2] + values[n/2]) / 2
	}
	return noise
}
