package selection

import "math"

// How Fisher's plane in CIELAB parts dabs; the samples are in LCh.

// roundingSpread is the variance, in Lab units squared, that a dab has at the
// least: that of rounding to 8 bits. Without it flat colours would leave the
// plane undefined.
const roundingSpread = 0.05

// labPlane fits the plane to all dabs but out, each dab counting the same.
func (s *samples) labPlane(out int) (Plane, error) {
	var vectors [2][][]float64
	var weight [2][]float64
	for _, k := range s.cells {
		if k.dab == out {
			continue
		}
		kind := 0
		if s.keep[k.dab] {
			kind = 1
		}
		vectors[kind] = append(vectors[kind], k.lab())
		weight[kind] = append(weight[kind], k.count/s.count[k.dab])
	}
	keep, drop := newScatter(vectors[1], weight[1]), newScatter(vectors[0], weight[0])
	free := keep.weight + drop.weight
	for i := range 3 {
		keep.spread.SetSym(i, i, keep.spread.At(i, i)+free*roundingSpread)
	}
	return fisher(keep, drop, free)
}

// planeScores returns how each dab's cells lie to the plane of all dabs but out.
func (s *samples) planeScores(out int) [][]weighted {
	plane, err := s.labPlane(out)
	scores := make([][]weighted, len(s.keep))
	for _, k := range s.cells {
		v := 0.0 // no plane: no better than chance
		if err == nil {
			v = plane.Score(k.lab())
		}
		scores[k.dab] = append(scores[k.dab], weighted{v, k.count})
	}
	return scores
}

// scoresLeftOut returns how each dab lies to the plane of all the others.
// Scores are in units of the gap between the means, so that those of different
// planes compare.
func (s *samples) scoresLeftOut() (out [][]weighted) {
	for d := range s.keep {
		out = append(out, s.planeScores(d)[d])
	}
	return out
}

// lab returns the middle of an LCh cell as L*, a*, b*.
func (k cell) lab() []float64 {
	p := k.centre(LCh)
	if k.bin[Hue] < 0 {
		return []float64{p[Light], 0, 0}
	}
	sin, cos := math.Sincos(p[Hue] * math.Pi / 180)
	return []float64{p[Light], p[Sat] * cos, p[Sat] * sin}
}
