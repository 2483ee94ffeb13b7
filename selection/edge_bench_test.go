package selection

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"halocline/colour"
)

// benchMatte is a large soft shape with noise in its fade, over and among
// specks: what a pick gives.
func benchMatte(w, h int) colour.Plane {
	rng := rand.New(rand.NewPCG(21, 1))
	p := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			u, v := float64(x)/float64(w), float64(y)/float64(h)
			level := 3 * (math.Sin(7*u)*math.Cos(5*v) + 0.15*math.Sin(60*u+40*v))
			p.Row(y)[x] = float32(min(max(0.5+level+0.3*rng.NormFloat64(), 0), 1))
			if rng.IntN(300) == 0 {
				p.Row(y)[x] = rng.Float32()
			}
		}
	}
	return p
}

// plainSoften is the separable convolution as it is written down, along rows
// and then down columns row by row, on a plane of which all takes part.
func plainSoften(dst, along, src *colour.Plane, sigma float64) {
	var k kernel
	k.set(sigma)
	w, h, reach := src.W, src.H, k.reach()
	for y := range h {
		in, out := src.Row(y), along.Row(y)
		for x := range w {
			sum, weight := float32(0), float32(0)
			for d := max(-reach, -x); d <= min(reach, w-1-x); d++ {
				f := k.weight[max(d, -d)]
				sum += f * in[x+d]
				weight += f
			}
			out[x] = sum / weight
		}
	}
	for y := range h {
		out := dst.Row(y)
		clear(out)
		weight := float32(0)
		for d := max(-reach, -y); d <= min(reach, h-1-y); d++ {
			f := k.weight[max(d, -d)]
			weight += f
			for x, v := range along.Row(y + d) {
				out[x] += f * v
			}
		}
		for x := range out {
			out[x] /= weight
		}
	}
}

// plainBox writes the means of windows clipped at the border, by running sums.
func plainBox(dst, work, src []float64, w, h, r int) {
	run := func(dst, src []float64, n, lines, stride, next int) {
		for l := range lines {
			at := l * next
			sum := 0.
			for i := range min(r, n) {
				sum += src[at+i*stride]
			}
			for i := range n {
				if i+r < n {
					sum += src[at+(i+r)*stride]
				}
				if i-r-1 >= 0 {
					sum -= src[at+(i-r-1)*stride]
				}
				dst[at+i*stride] = sum / float64(min(i+r, n-1)-max(i-r, 0)+1)
			}
		}
	}
	run(work, src, w, h, 1, w)
	run(dst, work, h, w, w, 1)
}

// plainAlign is the guided filter as its authors' program goes about it: a box
// filter for each mean.
func plainAlign(dst, src *colour.Plane, guide *colour.Image, r int) {
	w, h := src.W, src.H
	n := w * h
	work := make([]float64, n)
	boxed := func(f func(i int) float64) []float64 {
		in, out := make([]float64, n), make([]float64, n)
		for i := range in {
			in[i] = f(i)
		}
		plainBox(out, work, in, w, h, r)
		return out
	}
	c := [3][]float32{guide.R.Pix, guide.G.Pix, guide.B.Pix}
	p := boxed(func(i int) float64 { return float64(src.Pix[i]) })
	var mean, cross [3][]float64
	var square [3][3][]float64
	for a := range 3 {
		mean[a] = boxed(func(i int) float64 { return float64(c[a][i]) })
		cross[a] = boxed(func(i int) float64 { return float64(c[a][i]) * float64(src.Pix[i]) })
		for b := a; b < 3; b++ {
			square[a][b] = boxed(func(i int) float64 { return float64(c[a][i]) * float64(c[b][i]) })
		}
	}
	var coef [4][]float64
	for i := range coef {
		coef[i] = make([]float64, n)
	}
	for i := range n {
		s := func(a, b int) float64 { return square[a][b][i] - mean[a][i]*mean[b][i] }
		rr, rg, rb := s(0, 0)+alignEps, s(0, 1), s(0, 2)
		gg, gb, bb := s(1, 1)+alignEps, s(1, 2), s(2, 2)+alignEps
		var v [3]float64
		for a := range v {
			v[a] = cross[a][i] - mean[a][i]*p[i]
		}
		irr, irg, irb := gg*bb-gb*gb, rb*gb-rg*bb, rg*gb-rb*gg
		igg, igb, ibb := rr*bb-rb*rb, rg*rb-rr*gb, rr*gg-rg*rg
		det := rr*irr + rg*irg + rb*irb
		coef[0][i] = (irr*v[0] + irg*v[1] + irb*v[2]) / det
		coef[1][i] = (irg*v[0] + igg*v[1] + igb*v[2]) / det
		coef[2][i] = (irb*v[0] + igb*v[1] + ibb*v[2]) / det
		coef[3][i] = p[i] - coef[0][i]*mean[0][i] - coef[1][i]*mean[1][i] - coef[2][i]*mean[2][i]
	}
	for a := range coef {
		plainBox(coef[a], work, append([]float64(nil), coef[a]...), w, h, r)
	}
	for i := range n {
		v := coef[3][i]
		for a := range 3 {
			v += coef[a][i] * float64(c[a][i])
		}
		dst.Pix[i] = float32(min(max(v, 0), 1))
	}
}

// plainGrow takes the largest of a disc, pixel by pixel.
func plainGrow(dst, src *colour.Plane, radius int) {
	for y := range src.H {
		for x := range src.W {
			best := src.At(x, y)
			for dy := max(-radius, -y); dy <= min(radius, src.H-1-y); dy++ {
				half := int(math.Sqrt(float64(radius*radius - dy*dy)))
				for _, v := range src.Row(y + dy)[max(0, x-half):min(src.W, x+half+1)] {
					if v > best {
						best = v
					}
				}
			}
			dst.Row(y)[x] = best
		}
	}
}

// plainDespeckleOnce labels by Components and writes specks, then pinholes, at
// one limit.
func plainDespeckleOnce(dst, src *colour.Plane, n int) {
	w, h := src.W, src.H
	copy(dst.Pix, src.Pix)
	in, label := make([]bool, w*h), make([]int32, w*h)
	for _, pass := range []struct {
		is      func(v float32) bool
		becomes float32
	}{{func(v float32) bool { return v > 0.1 }, 0}, {func(v float32) bool { return v < 0.9 }, 1}} {
		for i, v := range dst.Pix {
			in[i] = pass.is(v)
		}
		parts := Components(label, in, w, h)
		for i, k := range label {
			if k >= 0 && parts[k].Area < n {
				dst.Pix[i] = pass.becomes
			}
		}
	}
}

func benchEdge(b *testing.B, w, h int, e Edge, plain func(dst, src *colour.Plane, guide *colour.Image)) {
	src, guide := benchMatte(w, h), benchImage(w, h)
	half := colour.NewPlane(w, h) // a mask of about a quarter of the frame
	for y := h / 4; y < 3*h/4; y++ {
		for x := w / 4; x < 3*w/4; x++ {
			half.Row(y)[x] = 1
		}
	}
	worn := colour.NewPlane(w, h) // and one that all but covers it
	for i := range worn.Pix {
		worn.Pix[i] = float32(min(i%977, 1))
	}
	disc := colour.NewPlane(w, h) // and an ellipse of about two thirds of it
	for i := range disc.Pix {
		if math.Hypot(float64(i%w)/float64(w)-0.5, float64(i/w)/float64(h)-0.5) < 0.47 {
			disc.Pix[i] = 1
		}
	}
	dst := colour.NewPlane(w, h)
	k := new(Treatment)
	for name, mask := range map[string]*colour.Plane{"all": nil, "quarter": &half, "disc": &disc, "worn": &worn} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				must(b, k.Apply(b.Context(), &dst, &src, guide, mask, e, 1, 1))
			}
		})
	}
	if plain != nil {
		b.Run("plain", func(b *testing.B) {
			for b.Loop() {
				plain(&dst, &src, guide)
			}
		})
	}
}

func BenchmarkEdgeSoften(b *testing.B) {
	for _, sigma := range []float64{1, 2, 3.9, 4, 8, 32} {
		b.Run(fmt.Sprint(sigma), func(b *testing.B) {
			work := colour.NewPlane(1920, 1080)
			benchEdge(b, 1920, 1080, Edge{Soften: sigma, About: 0.5}, func(dst, src *colour.Plane, _ *colour.Image) {
				plainSoften(dst, &work, src, sigma)
			})
		})
	}
}

func BenchmarkEdgeAlign(b *testing.B) {
	for _, radius := range []int{4, 8, 20, 64} {
		b.Run(fmt.Sprint(radius), func(b *testing.B) {
			benchEdge(b, 1920, 1080, Edge{Align: float64(radius), About: 0.5}, func(dst, src *colour.Plane, guide *colour.Image) {
				plainAlign(dst, src, guide, radius)
			})
		})
	}
}

func BenchmarkEdgeGrow(b *testing.B) {
	for _, radius := range []float64{1, 1.5, 8, 40} {
		b.Run(fmt.Sprint(radius), func(b *testing.B) {
			var plain func(dst, src *colour.Plane, _ *colour.Image)
			if radius == math.Trunc(radius) && radius < 20 {
				plain = func(dst, src *colour.Plane, _ *colour.Image) { plainGrow(dst, src, int(radius)) }
			}
			benchEdge(b, 1920, 1080, Edge{Grow: radius, About: 0.5}, plain)
		})
	}
}

func BenchmarkEdgeDespeckle(b *testing.B) {
	benchEdge(b, 1920, 1080, Edge{Despeckle: 12, About: 0.5}, func(dst, src *colour.Plane, _ *colour.Image) {
		plainDespeckleOnce(dst, src, 12)
	})
}

func BenchmarkEdgeHarden(b *testing.B) {
	benchEdge(b, 1920, 1080, Edge{Harden: 0.5, About: 0.5}, nil)
}

// BenchmarkEdgeAll treats as a study may.
func BenchmarkEdgeAll(b *testing.B) {
	e := Edge{Despeckle: 12, Align: 6, Harden: 0.3, About: 0.5, Grow: 1, Soften: 1.5}
	benchEdge(b, 1920, 1080, e, nil)
	b.Run("4K", func(b *testing.B) { benchEdge(b, 3840, 2160, e, nil) })
}
