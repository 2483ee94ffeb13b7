package selection

import (
	"fmt"
	"math"
)

// How Fisher's plane in CIELAB separates dabs; the samples are in LCh.

// roundingSpread is the variance, in Lab units squared, that a dab has at the
// least: that of rounding to 8 bits. Without it flat colours would leave the
// plane undefined.
const roundingSpread = 0.05

// scatters sums up each dab; all weigh the same.
func (s *samples) scatters() []scatter {
	out := make([]scatter, len(s.keep))
	for d := range out {
		var vectors [][]float64
		var weight []float64
		for _, k := range s.cellsOf(d) {
			vectors = append(vectors, k.vector())
			weight = append(weight, k.count/s.count[d])
		}
		out[d] = newScatter(vectors, weight)
	}
	return out
}

// labPlane fits the plane to all dabs but out. Where there is none it is zero:
// no better than chance.
func (s *samples) labPlane(dabs []scatter, out int) Plane {
	var keep, drop []scatter
	for d, scatter := range dabs {
		switch {
		case d == out:
		case s.keep[d]:
			keep = append(keep, scatter)
		default:
			drop = append(drop, scatter)
		}
	}
	k, d := joined(keep), joined(drop)
	free := k.weight + d.weight
	for i := range 3 {
		k.spread.SetSym(i, i, k.spread.At(i, i)+free*roundingSpread)
	}
	plane, err := fisher(k, d, free)
	if err != nil {
		return Plane{}
	}
	return plane
}

// planeScores returns how each dab lies to the plane of all dabs, and to that
// of all the others where leftOut. Scores are in units of the gap between the
// means, so that those of different planes compare.
func (s *samples) planeScores(dabs []scatter, leftOut bool) [][]weighted {
	out := make([][]weighted, len(dabs))
	whole := s.labPlane(dabs, noDab)
	for d := range out {
		plane := whole
		if leftOut {
			plane = s.labPlane(dabs, d)
		}
		for _, k := range s.cellsOf(d) {
			out[d] = append(out[d], weighted{plane.Score(k.vector()), k.count})
		}
	}
	return out
}

// lab returns the middle of an LCh cell as L*, a*, b*.
func (k cell) lab() (l, a, b float64) {
	p := k.centre(LCh)
	if k.bin[Hue] < 0 {
		return p[Light], 0, 0
	}
	sin, cos := math.Sincos(p[Hue] * math.Pi / 180)
	return p[Light], p[Sat] * cos, p[Sat] * sin
}

// vector is lab as a slice.
func (k cell) vector() []float64 {
	l, a, b := k.lab()
	return []float64{l, a, b}
}

// LabPlane returns Fisher's plane of dabs in CIELAB: Score takes L*, a*, b*. Each
// dab counts the same. It needs a dab of each kind that has colours.
func LabPlane(dabs []Dab) (Plane, error) {
	s := gather(dabs, LCh)
	if keep, drop := s.dabsOf(noDab); keep == 0 || drop == 0 {
		return Plane{}, fmt.Errorf("selection: found %d keep and %d drop dabs, want one of each for a plane between them", keep, drop)
	}
	p := s.labPlane(s.scatters(), noDab)
	if p.Gap == 0 {
		return Plane{}, errFlat
	}
	return p, nil
}
