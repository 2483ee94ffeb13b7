package selection

import (
	"errors"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// A Plane is Fisher's linear discriminant: the direction along which two
// classes lie furthest apart in terms of their common spread (R. A. Fisher
// 1936, Annals of Eugenics 7:179-188). No pick can be asked to tell apart what even
// the best plane mixes, so it is the ceiling to measure a pick against.
type Plane struct {
	Normal []float64 // pooled covariance^-1 (mean keep - mean drop)
	Middle float64   // the projection half way between the means
	Gap    float64   // how far apart the means project, at least 0
}

// Score returns where v lies: above 0 on the keep side, 1/2 at the mean of what
// to keep, -1/2 at that of what to drop.
func (p Plane) Score(v []float64) float64 {
	if p.Gap == 0 {
		return 0
	}
	return (floats.Dot(p.Normal, v) - p.Middle) / p.Gap
}

// A scatter sums up one class: how much it weighs, its mean, and its squares
// and products about it.
type scatter struct {
	weight float64
	mean   []float64
	spread *mat.SymDense
}

// newScatter gathers vectors that count as given by weight.
func newScatter(vectors [][]float64, weight []float64) scatter {
	n := len(vectors[0])
	s := scatter{mean: make([]float64, n), spread: mat.NewSymDense(n, nil)}
	for i, v := range vectors {
		s.weight += weight[i]
		floats.AddScaled(s.mean, weight[i], v)
	}
	floats.Scale(1/s.weight, s.mean)
	d := make([]float64, n)
	from := mat.NewVecDense(n, d)
	for i, v := range vectors {
		floats.SubTo(d, v, s.mean)
		s.spread.SymRankOne(s.spread, weight[i], from)
	}
	return s
}

// joined returns the scatter of all that the parts sum up: their own spreads
// and that of their means.
func joined(parts []scatter) scatter {
	means, weight := make([][]float64, len(parts)), make([]float64, len(parts))
	for i, p := range parts {
		means[i], weight[i] = p.mean, p.weight
	}
	s := newScatter(means, weight)
	for _, p := range parts {
		s.spread.AddSym(s.spread, p.spread)
	}
	return s
}

// errFlat is returned where the samples do not span a volume.
var errFlat = errors.New("selection: samples lie in one plane of the colour space, want some that do not")

// fisher returns the plane that separates two classes best. Their spreads are
// pooled over free degrees of freedom; a scale, without effect on the order of
// scores.
func fisher(keep, drop scatter, free float64) (Plane, error) {
	n := len(keep.mean)
	var pooled mat.SymDense
	pooled.AddSym(keep.spread, drop.spread)
	pooled.ScaleSym(1/free, &pooled)
	between := make([]float64, n)
	floats.SubTo(between, keep.mean, drop.mean)
	var chol mat.Cholesky
	if !chol.Factorize(&pooled) {
		return Plane{}, errFlat
	}
	var normal mat.VecDense
	if err := chol.SolveVecTo(&normal, mat.NewVecDense(n, between)); err != nil {
		return Plane{}, errFlat
	}
	p := Plane{Normal: normal.RawVector().Data}
	high, low := floats.Dot(p.Normal, keep.mean), floats.Dot(p.Normal, drop.mean)
	p.Middle, p.Gap = (high+low)/2, high-low
	return p, nil
}
