package shot

import (
	"math"

	"halocline/colour"
	"halocline/selection"
)

// Colours are what the colours in a matte are like, weighed by alpha, in CIELAB of the picture
// that the pick reads.
type Colours struct {
	Mean   [3]float64 `json:"mean"`   // L*, a*, b*
	Spread float64    `json:"spread"` // root mean square distance from the mean
}

// A colourSum adds up the colours in a matte.
type colourSum struct {
	all, dropped float64    // alpha; that on the drop side of the plane
	sum          [3]float64 // of the coordinates
	squares      float64    // of their lengths
}

// coloursIn returns the colours in a matte and the share of alpha that lies on the drop side of
// a plane in CIELAB; nil where the matte is empty, and dropped also where plane is nil.
func coloursIn(matte colour.Plane, picture *colour.Image, plane *selection.Plane) (in *Colours, dropped *float64) {
	var s colourSum
	var lab [3][]float32
	for c := range lab {
		lab[c] = make([]float32, matte.W)
	}
	for y := range matte.H {
		eachRun(matte.Row(y), func(from, to int) {
			l, a, b := lab[0][:to-from], lab[1][:to-from], lab[2][:to-from]
			colour.LabRow(l, a, b, picture.R.Row(y)[from:to], picture.G.Row(y)[from:to], picture.B.Row(y)[from:to])
			s.add(matte.Row(y)[from:to], l, a, b, plane)
		})
	}
	if s.all == 0 {
		return nil, nil
	}
	if plane != nil {
		dropped = pointer(s.dropped / s.all)
	}
	return s.colours(), dropped
}

// eachRun calls do with each stretch of a row where alpha is above 0.
func eachRun(row []float32, do func(from, to int)) {
	for from := 0; from < len(row); {
		if !(row[from] > 0) {
			from++
			continue
		}
		to := from + 1
		for to < len(row) && row[to] > 0 {
			to++
		}
		do(from, to)
		from = to
	}
}

func (s *colourSum) add(alpha, l, a, b []float32, plane *selection.Plane) {
	point := make([]float64, 3)
	for i, v := range alpha {
		w := float64(v)
		point[0], point[1], point[2] = float64(l[i]), float64(a[i]), float64(b[i])
		s.all += w
		for c, p := range point {
			s.sum[c] += float64(w * p)
			s.squares += float64(w * float64(p*p))
		}
		if plane != nil && plane.Score(point) < 0 {
			s.dropped += w
		}
	}
}

func (s *colourSum) colours() *Colours {
	c := &Colours{}
	variance := s.squares / s.all
	for i, v := range s.sum {
		c.Mean[i] = v / s.all
		variance -= float64(c.Mean[i] * c.Mean[i])
	}
	c.Spread = math.Sqrt(max(variance, 0))
	return c
}
