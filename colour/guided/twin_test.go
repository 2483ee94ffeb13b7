package guided

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"halocline/colour"
)

// slowWindow calls f for the pixels that take part in the window about (x,y)
// with their weights: 1 within the radius, a share of it for the next ones.
func slowWindow(w, h int, mask *colour.Plane, x, y int, radius float64, f func(at int, weight float64)) {
	reach := int(math.Ceil(radius))
	for py := max(0, y-reach); py <= min(h-1, y+reach); py++ {
		for px := max(0, x-reach); px <= min(w-1, x+reach); px++ {
			if mask != nil && !(mask.At(px, py) > 0) {
				continue
			}
			along := min(radius+1-math.Abs(float64(px-x)), 1)
			down := min(radius+1-math.Abs(float64(py-y)), 1)
			f(py*w+px, along*down)
		}
	}
}

// slowFilter is the guided filter as He, Sun & Tang 2013 print it (eqs. 19 to
// 21), for every window, solved by a library.
func slowFilter(src colour.Plane, guide *colour.Image, mask *colour.Plane, radius, eps float64) colour.Plane {
	w, h := src.W, src.H
	colourAt := func(at int) [3]float64 {
		return [3]float64{float64(guide.R.Pix[at]), float64(guide.G.Pix[at]), float64(guide.B.Pix[at])}
	}
	coef := make([][4]float64, w*h)
	for at := range coef {
		var n, mp float64
		var mu, cross [3]float64
		sigma := mat.NewSymDense(3, nil)
		slowWindow(w, h, mask, at%w, at/w, radius, func(q int, weight float64) {
			n += weight
			mp += weight * float64(src.Pix[q])
			for i, v := range colourAt(q) {
				mu[i] += weight * v
			}
		})
		mp /= n
		for i := range mu {
			mu[i] /= n
		}
		slowWindow(w, h, mask, at%w, at/w, radius, func(q int, weight float64) {
			c := colourAt(q)
			for i := range 3 {
				cross[i] += weight / n * (c[i] - mu[i]) * (float64(src.Pix[q]) - mp)
				for j := i; j < 3; j++ {
					sigma.SetSym(i, j, sigma.At(i, j)+weight/n*(c[i]-mu[i])*(c[j]-mu[j]))
				}
			}
		})
		for i := range 3 {
			sigma.SetSym(i, i, sigma.At(i, i)+eps)
		}
		var a mat.VecDense
		if n > 0 && a.SolveVec(sigma, mat.NewVecDense(3, cross[:])) == nil {
			coef[at] = [4]float64{a.AtVec(0), a.AtVec(1), a.AtVec(2), mp}
			for i := range 3 {
				coef[at][3] -= a.AtVec(i) * mu[i]
			}
		}
	}
	out := colour.NewPlane(w, h)
	for at := range coef {
		var mean [4]float64
		n := 0.
		slowWindow(w, h, mask, at%w, at/w, radius, func(q int, weight float64) {
			n += weight
			for i, v := range coef[q] {
				mean[i] += weight * v
			}
		})
		q := mean[3]
		for i, v := range colourAt(at) {
			q += mean[i] * v
		}
		out.Pix[at] = float32(min(max(q/n, 0), 1))
		if mask != nil && !(mask.Pix[at] > 0) {
			out.Pix[at] = src.Pix[at]
		}
	}
	return out
}
