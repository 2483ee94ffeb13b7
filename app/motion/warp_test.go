package motion

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// An affine takes a place of the first frame, about its middle, to the second: the
// matrix ((a,b),(c,d)), then the shift (e,f), in pixels.
type affine struct{ a, b, c, d, e, f float64 }

func turn(degrees, scale float64) affine {
	s, c := math.Sincos(degrees * math.Pi / 180)
	return affine{scale * c, -scale * s, scale * s, scale * c, 0, 0}
}

func shift(x, y float64) affine { return affine{1, 0, 0, 1, x, y} }

// motion is the true flow at pixel (x,y) of a w x h frame.
func (m affine) motion(x, y float64, w, h int) (dx, dy float64) {
	px, py := x-float64(w)/2, y-float64(h)/2
	return m.a*px + m.b*py + m.e - px, m.c*px + m.d*py + m.f - py
}

// inverse is the affine that leads back.
func (m affine) inverse() affine {
	det := m.a*m.d - m.b*m.c
	i := affine{a: m.d / det, b: -m.b / det, c: -m.c / det, d: m.a / det}
	i.e, i.f = -(i.a*m.e + i.b*m.f), -(i.c*m.e + i.d*m.f)
	return i
}

// A texture is smooth noise of several sizes, defined everywhere: lattices of random
// values at 4, 8, 16, ... pixels, between which cubic steps lead.
type texture struct{ seed uint64 }

func (t texture) at(x, y float64) float64 {
	sum, all := 0.0, 0.0
	for k, size := 0, 4.0; size <= 64; k, size = k+1, size*2 {
		strength := math.Sqrt(size)
		sum += strength * t.lattice(uint64(k), x/size, y/size)
		all += strength
	}
	return sum / all
}

func (t texture) lattice(k uint64, x, y float64) float64 {
	x0, y0 := math.Floor(x), math.Floor(y)
	fx, fy := ease(x-x0), ease(y-y0)
	v := func(i, j float64) float64 {
		z := t.seed*0x9e3779b97f4a7c15 + k*0xc2b2ae3d27d4eb4f + uint64(int64(x0+i))*0xbf58476d1ce4e5b9 + uint64(int64(y0+j))*0x94d049bb133111eb
		z ^= z >> 31
		z *= 0xd6e8feb86659fd93
		z ^= z >> 32
		z *= 0xd6e8feb86659fd93
		z ^= z >> 32
		return float64(z>>11) / (1 << 53)
	}
	return (v(0, 0)*(1-fx)+v(1, 0)*fx)*(1-fy) + (v(0, 1)*(1-fx)+v(1, 1)*fx)*fy
}

func ease(t float64) float64 { return t * t * (3 - 2*t) }

// pair is a textured frame and where m takes it.
func pair(m affine, w, h int) (from, to colour.Plane) {
	t := texture{7}
	from, to = colour.NewPlane(w, h), colour.NewPlane(w, h)
	back := m.inverse()
	for y := range h {
		for x := range w {
			dx, dy := back.motion(float64(x), float64(y), w, h)
			from.Row(y)[x] = float32(t.at(float64(x), float64(y)))
			to.Row(y)[x] = float32(t.at(float64(x)+dx, float64(y)+dy))
		}
	}
	return from, to
}

func lit(p colour.Plane, gain, lift float32) colour.Plane {
	out := colour.NewPlane(p.W, p.H)
	for i, v := range p.Pix {
		out.Pix[i] = gain*v + lift
	}
	return out
}

func noisy(p colour.Plane, sigma float64, seed uint64) colour.Plane {
	r := rand.New(rand.NewPCG(seed, 1))
	out := colour.NewPlane(p.W, p.H)
	for i, v := range p.Pix {
		out.Pix[i] = v + float32(sigma*r.NormFloat64())
	}
	return out
}

func picture(t testing.TB, p colour.Plane) *Picture {
	t.Helper()
	out, err := NewPicture(context.Background(), p, 0)
	require.NoError(t, err)
	return out
}

func flowOf(t testing.TB, from, to colour.Plane) *Flow {
	t.Helper()
	f, err := Between(context.Background(), picture(t, from), picture(t, to), 0)
	require.NoError(t, err)
	return f
}

// endPointError is the mean distance, in pixels, between flow and truth over the
// pixels whose true place is in the second frame.
func endPointError(m affine, w, h int, at func(x, y int) (dx, dy float32)) float64 {
	var sum float64
	var n int
	for y := range h {
		for x := range w {
			dx, dy := m.motion(float64(x), float64(y), w, h)
			if tx, ty := float64(x)+dx, float64(y)+dy; tx < 0 || ty < 0 || tx > float64(w-1) || ty > float64(h-1) {
				continue
			}
			u, v := at(x, y)
			sum += math.Hypot(float64(u)-dx, float64(v)-dy)
			n++
		}
	}
	return sum / float64(n)
}
