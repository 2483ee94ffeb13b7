package seam

import "math"

// How the place of the picture's own edge about a square is found: see Along. The
// numbers were chosen on seeds 1 to 4 of the sample: with more noise the edge is led by what a
// square shows of texture, with less it is not led by an edge that sways.
const (
	slidePositions = 32 // on each side, up to R
	slideRounds    = 2
	slideNoise     = 0.1
	slideFloor     = 1e-3
	leastGain      = 0.6
	mostGain       = 1.6
)

// slides are one curve of the picture's edge, moved.
type slides struct {
	apart  []float64   // px outward
	cost   []float64   // (apart/R)^2
	curves [][]float64 // by apart, by bin
}

func newSlides(picture []float64, radius float64) *slides {
	d := &slides{}
	for i := -slidePositions; i <= slidePositions; i++ {
		u := float64(i) / slidePositions
		curve := make([]float64, len(picture))
		for bin := range curve {
			curve[bin] = curveAt(picture, float64(bin)-u*radius)
		}
		d.apart, d.cost, d.curves = append(d.apart, u*radius), append(d.cost, u*u), append(d.curves, curve)
	}
	return d
}

// curveAt returns a curve between bins; beyond its ends it goes on as it ends.
func curveAt(curve []float64, bin float64) float64 {
	bin = min(max(bin, 0), float64(len(curve)-1))
	i := min(int(bin), len(curve)-2)
	return curve[i] + (bin-float64(i))*(curve[i+1]-curve[i])
}

// slide finds which of the slides it returns is that of each square; means are the
// curves about it, nil where there is no square.
func (s *Seam) slide(c *locals, means []*curveSums) (d *slides, which []int) {
	picture := s.picture
	for range slideRounds {
		d, which = newSlides(picture, s.band.radius), make([]int, len(means))
		for i, m := range means {
			if m != nil {
				which[i] = d.best(m)
			}
		}
		picture = s.aligned(c, d, which)
	}
	return d, which
}

// best returns the most likely slide for a curve.
func (d *slides) best(own *curveSums) (best int) {
	var total, mean, square float64
	for i, w := range own.weight {
		total += w
		mean += w * own.picture[i]
		square += w * own.picture[i] * own.picture[i]
	}
	mean /= total
	square = square/total - mean*mean
	least := math.Inf(1)
	for k, curve := range d.curves {
		var m, mm, both float64
		for i, w := range own.weight {
			v := w * curve[i]
			m += v
			mm += v * curve[i]
			both += v * own.picture[i]
		}
		m /= total
		mm, both = mm/total-m*m, both/total-m*mean
		gain := 1.
		if mm > 0 {
			gain = min(max(both/mm, leastGain), mostGain)
		}
		left := max(0, square+gain*(gain*mm-2*both))
		if cost := slideNoise*math.Log(left+slideFloor) + d.cost[k]; cost < least {
			least, best = cost, k
		}
	}
	return best
}

// aligned returns the mean of the squares' curves, each moved back by its slide.
func (s *Seam) aligned(c *locals, d *slides, which []int) []float64 {
	n := len(s.picture)
	sum, weight := make([]float64, n), make([]float64, n)
	for i, own := range c.sums {
		if own == nil {
			continue
		}
		back := d.apart[which[i]]
		to := int(math.Floor(-back))
		part := -back - float64(to)
		for bin, w := range own.weight {
			if k := bin + to; w > 0 && k >= 0 && k+1 < n {
				sum[k] += (1 - part) * own.picture[bin]
				weight[k] += (1 - part) * w
				sum[k+1] += part * own.picture[bin]
				weight[k+1] += part * w
			}
		}
	}
	for i, w := range weight {
		if w > 0 {
			sum[i] = min(max(sum[i]/w, 0), 1)
		} else {
			sum[i] = s.picture[i]
		}
	}
	return sum
}
