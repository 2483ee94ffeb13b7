package selection

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
)

// How dabs make a pick by plane: Fisher's plane says the direction, and a search along it,
// like that for the border of a range, finds the level.

// errNoDrop is returned where nothing says on which side of a plane to keep is.
var errNoDrop = errors.New("selection: found no drop samples, want at least one drop dab for a plane")

// fitPlane returns the pick by Fisher's plane that the dabs ask for.
//
// Criterion: as for ranges (see Fit), along the plane's normal. The weight goes from 0 to 1
// over two bandwidths, and it is 1 from the level on.
func fitPlane(dabs []Dab) (Fitted, error) {
	s := gather(dabs, PlaneModel)
	keep, drop := s.dabsOf(noDab)
	switch {
	case keep == 0:
		return Fitted{}, ErrNoKeep
	case drop == 0:
		return Fitted{}, errNoDrop
	}
	scatters := s.scatters()
	p, err := s.planePick(scatters, noDab)
	if err != nil {
		return Fitted{}, err
	}
	f := Fitted{Pick: p, LeftOut: noneLeftOut()}
	f.Agreement = s.meanRight(func(d int) float64 { return s.meanWeight(p, d) })
	if keep >= 2 && drop >= 2 {
		f.LeftOut[PlaneModel] = s.meanRight(func(d int) float64 {
			p, err := s.planePick(scatters, d)
			if err != nil {
				return 0.5 // no plane: no better than chance
			}
			return s.meanWeight(p, d)
		})
	}
	f.Notes = []string{fmt.Sprintf("plane: L* counts %+.2f, a* %+.2f, b* %+.2f", p.Normal[0], p.Normal[1], p.Normal[2])}
	return f, nil
}

// meanRight returns the mean of how much is kept of a keep dab and left of a drop dab, by
// the weight of each.
func (s *samples) meanRight(weight func(dab int) float64) float64 {
	keep, drop := s.dabsOf(noDab)
	kept, left := 0.0, 0.0
	for d, kind := range s.keep {
		if kind {
			kept += weight(d) / float64(keep)
		} else {
			left += (1 - weight(d)) / float64(drop)
		}
	}
	return (kept + left) / 2
}

// planePick fits a plane and its level to all dabs but out.
func (s *samples) planePick(scatters []scatter, out int) (Pick, error) {
	plane := s.labPlane(scatters, out)
	length := math.Sqrt(floats.Dot(plane.Normal, plane.Normal))
	if plane.Gap == 0 || !(length > 0) {
		return Pick{}, errFlat
	}
	p := Pick{Model: PlaneModel}
	for i, v := range plane.Normal {
		p.Normal[i] = math.Round(v/length*1e6) / 1e6
	}
	p.Limits[Hue].Off, p.Limits[Sat].Off = true, true
	p.Limits[Across].Range = s.levelOf(p.space(), out)
	return p, nil
}

// levelOf finds the level of a plane, and its fade, by all dabs but out.
func (s *samples) levelOf(by space, out int) Range {
	hist, band := s.along(by, out)
	keeps, _ := s.dabsOf(out)
	kernel := gaussian(band)
	spread := spreadAlong(hist, kernel)
	lo := bestLevel(spread)
	lo -= middle(func(i int) float64 { return spread[lo-1-i] }, len(spread)-lo, lo, roomOf(band, keeps))
	least, most := span(PlaneModel, Across)
	unit := (most - least) / bins
	half := fadeBandwidths * band / 2 * unit
	border := least + float64(lo-len(kernel)+1)*unit // where a colour weighs one half
	round := func(v float64) float64 {
		return math.Round(v*decimals(PlaneModel, Across)) / decimals(PlaneModel, Across)
	}
	return LevelRange(0, round(2*half), 0).atLevel(round(border + half))
}

// along returns what lies in each bin along a plane's normal, keep dabs summing to 1 and
// drop dabs to -1, and the bandwidth there in bins, without dab out.
func (s *samples) along(by space, out int) (hist []float64, band float64) {
	hist = make([]float64, bins)
	keeps, drops := s.dabsOf(out)
	least, most := span(PlaneModel, Across)
	var keep, drop []float64
	for d := range s.keep {
		if d == out {
			continue
		}
		share, middles := -1/float64(drops), &drop
		if s.keep[d] {
			share, middles = 1/float64(keeps), &keep
		}
		var values []weighted
		for _, k := range s.cellsOf(d) {
			v := by.acrossLab(k.lab())[Across]
			values = append(values, weighted{v, k.count})
			bin := int((v - least) / (most - least) * bins)
			hist[min(max(bin, 0), bins-1)] += float64(k.count / s.count[d] * share)
		}
		*middles = append(*middles, medianOf(values))
	}
	return hist, bandwidthOf(PlaneModel, Across, keep, drop)
}

// bestLevel returns the place in a line from which on, up to its end, the line gathers the
// most: of equal ones the highest.
func bestLevel(spread []float64) int {
	best, most, sum := len(spread), 0.0, 0.0
	for i := len(spread) - 1; i >= 0; i-- {
		if sum += spread[i]; sum > most+tie {
			best, most = i, sum
		}
	}
	return best
}
