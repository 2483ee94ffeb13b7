package edge

import (
	"math"
	"slices"
)

// A vector is a colour in CIELAB.
type vector [3]float64

// A mixture is a sum of Gaussians over CIELAB: how likely each colour is on one side of an
// edge.
type mixture []gaussian

// A gaussian is one of its parts.
type gaussian struct {
	mean  vector
	spare float64    // log of its weight over its volume
	tall  [6]float64 // the inverse of its covariance: LL, La, Lb, aa, ab, bb
}

// scatter sums up colours.
type scatter struct {
	weight float64
	sum    vector
	square [6]float64
}

func (s *scatter) add(c vector, weight float64) {
	s.weight += weight
	l, a, b := weight*c[0], weight*c[1], weight*c[2]
	s.sum[0] += l
	s.sum[1] += a
	s.sum[2] += b
	s.square[0] += l * c[0]
	s.square[1] += l * c[1]
	s.square[2] += l * c[2]
	s.square[3] += a * c[1]
	s.square[4] += a * c[2]
	s.square[5] += b * c[2]
}

// moments returns mean and covariance.
func (s *scatter) moments() (mean vector, cov [6]float64) {
	for i, v := range s.sum {
		mean[i] = v / s.weight
	}
	for k, pair := range [6][2]int{{0, 0}, {0, 1}, {0, 2}, {1, 1}, {1, 2}, {2, 2}} {
		cov[k] = s.square[k]/s.weight - mean[pair[0]]*mean[pair[1]]
	}
	return mean, cov
}

// learn fits a mixture of so many Gaussians, at most, to colours: parts are split along
// their longest axis (M. T. Orchard & C. A. Bouman 1991, "Color Quantization of Images",
// IEEE Trans. Signal Processing 39(12):2677-2690), then made better by rounds of
// expectation and maximisation (A. P. Dempster, N. M. Laird & D. B. Rubin 1977). floor is
// added to all variances: without it a Gaussian shrinks to the few colours of murky water.
func learn(colours []vector, parts int, floor float64, rounds int) mixture {
	groups := split(colours, parts)
	var all []scatter
	for _, g := range groups {
		var s scatter
		for _, c := range g {
			s.add(c, 1)
		}
		all = append(all, s)
	}
	m := newMixture(all, len(colours), floor)
	odds := make([]float64, len(m))
	for range rounds {
		all = make([]scatter, len(m))
		for _, c := range colours {
			top := math.Inf(-1)
			for i := range m {
				odds[i] = m[i].log(c)
				top = max(top, odds[i])
			}
			sum := 0.
			for i, o := range odds {
				odds[i] = 0
				if o > top-12 {
					odds[i] = exp(top - o)
				}
				sum += odds[i]
			}
			for i, o := range odds {
				if o > 1e-4*sum {
					all[i].add(c, o/sum)
				}
			}
		}
		m = newMixture(all, len(colours), floor)
		odds = odds[:len(m)]
	}
	return m
}

// split divides colours into groups.
func split(colours []vector, parts int) [][]vector {
	groups := [][]vector{slices.Clone(colours)}
	for len(groups) < parts {
		widest, most, axis, middle := -1, 0., vector{}, 0.
		for i, g := range groups {
			if len(g) < 2*fewest {
				continue
			}
			var s scatter
			for _, c := range g {
				s.add(c, 1)
			}
			mean, cov := s.moments()
			along, spread := longestAxis(cov)
			if spread *= s.weight; spread > most {
				widest, most, axis, middle = i, spread, along, dot(along, mean)
			}
		}
		if widest < 0 {
			break
		}
		g := groups[widest]
		n := 0
		for i, c := range g {
			if dot(axis, c) < middle {
				g[n], g[i] = g[i], g[n]
				n++
			}
		}
		if n == 0 || n == len(g) {
			break
		}
		groups[widest] = g[:n]
		groups = append(groups, g[n:])
	}
	return groups
}

// fewest colours make a part.
const fewest = 6

func dot(a, b vector) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// longestAxis returns the direction in which colours spread most, and how much, by power
// iteration.
func longestAxis(cov [6]float64) (axis vector, spread float64) {
	axis = vector{cov[0], cov[3], cov[5]} // leans to the axes that spread
	for range 24 {
		next := vector{
			cov[0]*axis[0] + cov[1]*axis[1] + cov[2]*axis[2],
			cov[1]*axis[0] + cov[3]*axis[1] + cov[4]*axis[2],
			cov[2]*axis[0] + cov[4]*axis[1] + cov[5]*axis[2],
		}
		length := math.Sqrt(dot(next, next))
		if !(length > 1e-12) {
			return axis, 0
		}
		axis, spread = vector{next[0] / length, next[1] / length, next[2] / length}, length
	}
	return axis, spread
}

func newMixture(all []scatter, n int, floor float64) mixture {
	var m mixture
	for i := range all {
		if all[i].weight < 1 {
			continue
		}
		mean, cov := all[i].moments()
		cov[0], cov[3], cov[5] = cov[0]+floor, cov[3]+floor, cov[5]+floor
		m = append(m, newGaussian(mean, cov, all[i].weight/float64(n)))
	}
	return m
}

func newGaussian(mean vector, c [6]float64, weight float64) gaussian {
	// The adjugate of the symmetric matrix.
	ll, la, lb := c[3]*c[5]-c[4]*c[4], c[2]*c[4]-c[1]*c[5], c[1]*c[4]-c[2]*c[3]
	aa, ab, bb := c[0]*c[5]-c[2]*c[2], c[1]*c[2]-c[0]*c[4], c[0]*c[3]-c[1]*c[1]
	det := c[0]*ll + c[1]*la + c[2]*lb
	return gaussian{
		mean:  mean,
		spare: math.Log(weight) - 0.5*math.Log(det),
		tall:  [6]float64{ll / det, la / det, lb / det, aa / det, ab / det, bb / det},
	}
}

// log is the logarithm of the Gaussian's share at a colour, but for a constant.
func (g *gaussian) log(c vector) float64 {
	l, a, b := c[0]-g.mean[0], c[1]-g.mean[1], c[2]-g.mean[2]
	t := &g.tall
	return g.spare - 0.5*(l*(t[0]*l+2*(t[1]*a+t[2]*b))+a*(t[3]*a+2*t[4]*b)+b*t[5]*b)
}

// log is the logarithm of how likely a colour is, but for a constant.
func (m mixture) log(c vector) float64 {
	top, sum := math.Inf(-1), 0.
	for i := range m {
		o := m[i].log(c)
		if o <= top {
			if o > top-12 {
				sum += exp(top - o)
			}
			continue
		}
		if o-top < 12 {
			sum = 1 + sum*exp(o-top)
		} else {
			sum = 1
		}
		top = o
	}
	return top + logs[int((sum-1)*expGrain+0.5)]
}

// exps tables exp(-x): costs are whole numbers of 1/256.
var exps = func() (t [12*expGrain + 2]float64) {
	for i := range t {
		t[i] = math.Exp(-float64(i) / expGrain)
	}
	return t
}()

// logs tables log(1+x) for x up to the number of parts.
var logs = func() (t [8*expGrain + 2]float64) {
	for i := range t {
		t[i] = math.Log1p(float64(i) / expGrain)
	}
	return t
}()

// expGrain is the entries of the tables to a unit.
const expGrain = 64

// exp is exp(-x) for x in [0,12].
func exp(x float64) float64 { return exps[int(x*expGrain+0.5)] }
