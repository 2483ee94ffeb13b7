package check

import (
	"math"

	"halocline/colour"
)

// A NoiseChange says what a grade does to the noise of what a matte covers.
type NoiseChange struct {
	Before [3]float64 // standard deviations of R, G, B, display encoded
	After  [3]float64
	// Decibels are 20 log10 of the ratio of the root mean squares of After and
	// of Before: over 0 where the grade lifts noise.
	Decibels float64
}

// PredictNoise tells how a grade changes the noise inside of a matte: noise with
// the stored deviations, in the picture as it was decoded, is taken through the
// slope of base, then through the grade's derivatives (colour.CDL.Jacobian), as
// independent in each channel. That is the first order of the propagation of
// uncertainty (JCGM 100:2008, 5.1.2). It is worked out at colours spread over the
// matte, weighted by it, and averaged as variances: at the mean colour alone it
// would say nothing of clamped highlights. shown is the picture after
// base, and matte has its size. It is nil where the matte is empty, and where
// no noise is left before or after: none is stored, or all of it is clamped.
func PredictNoise(shown *colour.Image, matte colour.Plane, base colour.Base, noise [3]float64, grade colour.CDL) (*NoiseChange, error) {
	if !shown.R.SameSize(matte) {
		panic("check: matte of another size than the picture")
	}
	curves, err := base.Curves()
	if err != nil {
		return nil, err
	}
	var s noiseSum
	for c := range s.table {
		s.table[c] = NewNoiseTable(curves, c, noise[c])
	}
	every := max(1, int(math.Sqrt(float64(len(matte.Pix))/noisePlaces)))
	for y := every / 2; y < matte.H; y += every {
		for x := every / 2; x < matte.W; x += every {
			if a := matte.At(x, y); a > 0 {
				s.add(shown.RGB(x, y), float64(a), grade)
			}
		}
	}
	return s.change(), nil
}

// noisePlaces is about how many pixels of a frame are looked at, evenly spread: of
// a matte that covers a hundredth of it that leaves 300.
const noisePlaces = 30_000

// A noiseSum adds up variances, weighted.
type noiseSum struct {
	table         [3]NoiseTable
	weight        float64
	before, after [3]float64
}

func (s *noiseSum) add(at colour.RGB, weight float64, grade colour.CDL) {
	j := grade.Jacobian(at)
	s.weight += weight
	for c, v := range [3]float64{at.R, at.G, at.B} {
		variance := weight * float64(s.table[c].At(float32(v)))
		s.before[c] += variance
		for i := range s.after {
			s.after[i] += j[i][c] * j[i][c] * variance
		}
	}
}

func (s *noiseSum) change() *NoiseChange {
	var n NoiseChange
	var before, after float64
	for c := range s.before {
		n.Before[c], n.After[c] = math.Sqrt(s.before[c]/s.weight), math.Sqrt(s.after[c]/s.weight)
		before, after = before+s.before[c], after+s.after[c]
	}
	if !(before > 0 && after > 0) {
		return nil
	}
	n.Decibels = 10 * math.Log10(after/before)
	return &n
}

// noiseLevels is how finely the noise after base is told apart.
const noiseLevels = 256

// A NoiseTable is the variance that noise gives one channel after base, by the
// channel's value there.
type NoiseTable [noiseLevels]float32

// NewNoiseTable takes noise of deviation sigma in channel c through base: for each
// value before base, the deviation is half the distance to which base takes the values
// one sigma below and above it. Where base maps several values to one, the largest
// counts. A value that base never yields has the variance of the next above.
func NewNoiseTable(curves *colour.Curves, c int, sigma float64) (table NoiseTable) {
	const samples = 4 * noiseLevels
	var low, middle, high [samples + 1]float32
	for i := range middle {
		v := float64(i) / samples
		low[i], middle[i], high[i] = float32(max(v-sigma, 0)), float32(v), float32(min(v+sigma, 1))
	}
	for _, row := range [][]float32{low[:], middle[:], high[:]} {
		curves.Band(c, row, row)
	}
	for i := range table {
		table[i] = -1
	}
	for i, v := range middle {
		half := (high[i] - low[i]) / 2
		at := &table[noiseLevel(v)]
		*at = max(*at, half*half)
	}
	next := float32(0)
	for i := noiseLevels - 1; i >= 0; i-- {
		if table[i] < 0 {
			table[i] = next
		}
		next = table[i]
	}
	return table
}

// At returns the variance where the channel has a value after base.
func (t *NoiseTable) At(v float32) float32 { return t[noiseLevel(v)] }

func noiseLevel(v float32) int { return int(min(max(v, 0), 1)*(noiseLevels-1) + 0.5) }
