package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// softenEverywhere is Soften below a sigma of 4 with every block of every row
// blurred: the twin that must have the same bits as what leaves them out.
func softenEverywhere(src, part *colour.Plane, sigma float64) colour.Plane {
	var k kernel
	k.set(sigma)
	w, h := src.W, src.H
	reach := k.reach()
	alphas, weights := colour.NewPlane(w, h), colour.NewPlane(w, h)
	blurred := func(p *colour.Plane) colour.Plane {
		along, down := colour.NewPlane(w, h), colour.NewPlane(w, h)
		for y := range h {
			padded := make([]float32, w+2*reach)
			copy(padded[reach:], p.Row(y))
			var taps [][]float32
			for i := range 2*reach + 1 {
				taps = append(taps, padded[i:])
			}
			convolve(along.Row(y), taps, k.weight)
		}
		none := make([]float32, w)
		for y := range h {
			var taps [][]float32
			for i := y - reach; i <= y+reach; i++ {
				if i < 0 || i >= h {
					taps = append(taps, none)
				} else {
					taps = append(taps, along.Row(i))
				}
			}
			convolve(down.Row(y), taps, k.weight)
		}
		return down
	}
	for i, v := range src.Pix {
		if part == nil || part.Pix[i] > 0 {
			alphas.Pix[i], weights.Pix[i] = colour.Clamped(v), 1
		}
	}
	out, over := blurred(&alphas), blurred(&weights)
	invert(over.Pix)
	times(out.Pix, over.Pix)
	if part != nil {
		keep(out.Pix, src.Pix, part.Pix)
	}
	return out
}

func TestSoftenLeavesOutOnlyWhatIsZero(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 7))
	var treat Treatment
	zeros := 0
	for round := range 60 {
		w, h := 1+r.IntN(700), 1+r.IntN(150)
		src, part := colour.NewPlane(w, h), colour.NewPlane(w, h)
		for range r.IntN(6) { // none at all, too
			spot(r, &src, 6)
			spot(r, &part, 60)
		}
		src.Pix[r.IntN(w*h)] = []float32{float32(math.NaN()), -1, 2, float32(math.Copysign(0, -1)), 1e-30}[r.IntN(5)]
		sigma := 0.2 + 3.7*r.Float64()
		for _, mask := range []*colour.Plane{nil, &part} {
			want, got := softenEverywhere(&src, mask, sigma), colour.NewPlane(w, h)
			for i := range got.Pix {
				got.Pix[i] = 0.5 // of an earlier use
			}
			require.NoError(t, treat.Apply(t.Context(), &got, &src, nil, mask, Edge{Soften: sigma, About: 0.5}, 1, 1+round%3))
			for i, v := range want.Pix {
				require.Equal(t, math.Float32bits(v), math.Float32bits(got.Pix[i]), "round %d, %d x %d, sigma %v: pixel %d,%d is %v, want %v",
					round, w, h, sigma, i%w, i/w, got.Pix[i], v)
				if v == 0 {
					zeros++
				}
			}
		}
	}
	require.Greater(t, zeros, 1_000_000)
}

// spot draws a square of one value, up to side pixels wide, somewhere.
func spot(r *rand.Rand, p *colour.Plane, side int) {
	x0, y0, v := r.IntN(p.W), r.IntN(p.H), r.Float32()
	for y := y0; y < min(p.H, y0+1+r.IntN(side)); y++ {
		for x := x0; x < min(p.W, x0+side); x++ {
			p.Row(y)[x] = v
		}
	}
}
