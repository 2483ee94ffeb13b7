package mask

import (
	"math"

	"halocline/colour"
)

// The plain two-pass distance transform of P. F. Felzenszwalb and D. P.
// Huttenlocher 2012, "Distance Transforms of Sampled Functions", Theory of
// Computing 8:415-428: columns, then rows, each by the lower envelope of
// parabolas. Exact for the distance between pixel centres.
type transform struct {
	w, h       int
	in, out    []float64 // squared distances to the nearest pixel that is not filled, that is
	f, d, edge []float64 // of one row or column
	at         []int
}

func newTransform(w, h int) *transform {
	n := max(w, h)
	return &transform{w, h, make([]float64, w*h), make([]float64, w*h),
		make([]float64, n), make([]float64, n), make([]float64, n+1), make([]int, n)}
}

const none = 1e20

// line computes d(q) = min over p of (q-p)^2 + f(p), algorithm 1 of the paper.
func (t *transform) line(f, d []float64) {
	k := 0
	t.at[0], t.edge[0], t.edge[1] = 0, math.Inf(-1), math.Inf(1)
	for q := 1; q < len(f); q++ {
		meet := func() float64 {
			p := t.at[k]
			return ((f[q] + float64(q*q)) - (f[p] + float64(p*p))) / float64(2*q-2*p)
		}
		s := meet()
		for s <= t.edge[k] {
			k--
			s = meet()
		}
		k++
		t.at[k], t.edge[k], t.edge[k+1] = q, s, math.Inf(1)
	}
	k = 0
	for q := range d {
		for t.edge[k+1] < float64(q) {
			k++
		}
		p := t.at[k]
		d[q] = float64((q-p)*(q-p)) + f[p]
	}
}

// distances transforms squares in place: 0 where a distance is 0, none elsewhere.
func (t *transform) distances(squares []float64) {
	for x := range t.w {
		for y := range t.h {
			t.f[y] = squares[y*t.w+x]
		}
		t.line(t.f[:t.h], t.d[:t.h])
		for y := range t.h {
			squares[y*t.w+x] = t.d[y]
		}
	}
	for y := range t.h {
		row := squares[y*t.w : (y+1)*t.w]
		copy(t.f, row)
		t.line(t.f[:t.w], row)
	}
}

// feather is the ramp over the distance to the edge of the pixels over 0.5,
// half a pixel from the nearest centre beyond it.
func (t *transform) feather(dst, src colour.Plane, inner, outer float32) {
	for i, v := range src.Pix {
		t.in[i], t.out[i] = none, 0
		if v <= 0.5 {
			t.in[i], t.out[i] = 0, none
		}
	}
	t.distances(t.in)
	t.distances(t.out)
	for i := range dst.Pix {
		d := float32(math.Sqrt(t.in[i])) - 0.5
		if t.in[i] == 0 {
			d = 0.5 - float32(math.Sqrt(t.out[i]))
		}
		u := min(max((d+outer)/(inner+outer), 0), 1)
		dst.Pix[i] = u * u * (3 - 2*u)
	}
}
