package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// plainSoftenPart blurs alpha and what takes part everywhere alike, in the
// sums of convolve, and divides: what softening under a mask leaves out where
// it knows the outcome.
func plainSoftenPart(src, mask colour.Plane, sigma float64) colour.Plane {
	var k kernel
	k.set(sigma)
	reach := k.reach()
	blur := func(p colour.Plane, dx, dy int) colour.Plane {
		out := colour.NewPlane(p.W, p.H)
		at := func(x, y int) float32 {
			if x < 0 || x >= p.W || y < 0 || y >= p.H {
				return 0
			}
			return p.At(x, y)
		}
		for y := range p.H {
			for x := range p.W {
				sum := float32(k.weight[0] * p.At(x, y))
				for d := 1; d <= reach; d++ {
					sum += float32(k.weight[d] * (at(x-d*dx, y-d*dy) + at(x+d*dx, y+d*dy)))
				}
				out.Row(y)[x] = sum
			}
		}
		return out
	}
	a, part := colour.NewPlane(src.W, src.H), colour.NewPlane(src.W, src.H)
	for i, m := range mask.Pix {
		if m > 0 {
			a.Pix[i], part.Pix[i] = colour.Clamped(src.Pix[i]), 1
		}
	}
	a, part = blur(blur(a, 1, 0), 0, 1), blur(blur(part, 1, 0), 0, 1)
	for i, v := range a.Pix {
		a.Pix[i] = colour.Clamped(float32(v * float32(1/part.Pix[i])))
		if !(mask.Pix[i] > 0) {
			a.Pix[i] = colour.Clamped(src.Pix[i])
		}
	}
	return a
}

// solidMask is boxes, holes, lone pixels and samples that count as 0.
func solidMask(rng *rand.Rand, w, h int) colour.Plane {
	nothing := []float32{0, -1, float32(math.NaN()), float32(math.Copysign(0, -1)), float32(math.Inf(-1))}
	something := []float32{1, 0.5, 1e-45, 7, float32(math.Inf(1))}
	p := colour.NewPlane(w, h)
	for range 1 + rng.IntN(8) {
		x0, y0 := rng.IntN(w), rng.IntN(h)
		x1, y1 := x0+1+rng.IntN(w-x0), y0+1+rng.IntN(h-y0)
		values := something
		if rng.IntN(3) == 0 {
			values = nothing
		}
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				p.Row(y)[x] = values[rng.IntN(len(values))]
			}
		}
	}
	for range rng.IntN(6) {
		p.Pix[rng.IntN(w*h)] = nothing[rng.IntN(len(nothing))]
		p.Pix[rng.IntN(w*h)] = something[rng.IntN(len(something))]
	}
	return p
}

func TestEdgeSoftenUnderAMaskHasThePlainBits(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 4))
	kept := new(Treatment)
	for range 150 {
		w, h := 1+rng.IntN(200), 1+rng.IntN(200)
		if rng.IntN(10) == 0 {
			w = 500 + rng.IntN(600) // blocks of more than one word
			h = 1 + rng.IntN(60)
		}
		src, mask := edgeMatte(rng, w, h), solidMask(rng, w, h)
		sigma := 0.2 + 3.7*rng.Float64()
		if newDomain(&mask, &src).Mask == nil { // all takes part, or nothing
			continue
		}
		var got colour.Plane
		require.NoError(t, kept.Apply(t.Context(), &got, &src, nil, &mask, Edge{Soften: sigma, About: 0.5}, 1, 2))
		requireSameBits(t, plainSoftenPart(src, mask, sigma), got, "%dx%d, sigma %g", w, h, sigma)
	}
}

func TestSolidityIsThatOfItsPixels(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 5))
	var s solidity
	for range 300 {
		w, reach := 1+rng.IntN(1300), 1+rng.IntN(16)
		part := solidMask(rng, w, 1).Pix
		s.read(part, reach)
		for _, set := range []struct {
			rowSet
			reach int
			all   bool
		}{{s.all, 0, true}, {s.some, 0, false}, {s.deep, reach, true}, {s.near, reach, false}} {
			in := make([]bool, w)
			for x0, x1 := range set.stretches(w) {
				for x := x0; x < x1; x++ {
					in[x] = true
				}
			}
			for x0, x1 := range set.gaps(w) {
				for x := x0; x < x1; x++ {
					require.False(t, in[x], "in both at %d of %d", x, w)
				}
			}
			for x := range part {
				all, some := true, false
				for i := x - set.reach; i <= x+set.reach; i++ {
					takes := i >= 0 && i < w && part[i] > 0
					all, some = all && takes, some || takes
				}
				if set.all {
					require.False(t, in[x] && !all, "reach %d, %d of %d", set.reach, x, w)
				} else {
					require.False(t, !in[x] && some, "reach %d, %d of %d", set.reach, x, w)
				}
			}
		}
	}
	row := make([]float32, 1029)
	for x := range row {
		row[x] = 1
	}
	s.read(row, 8) // not vacuously: all but a block at the start, and at the end the cut one and that beside it
	for x0, x1 := range s.deep.stretches(len(row)) {
		assert.Equal(t, [2]int{8, 1016}, [2]int{x0, x1})
	}
	assert.NotZero(t, s.deep[0])
	s.read(make([]float32, 1029), 8)
	for range s.near.stretches(len(row)) {
		assert.Fail(t, "near nothing")
	}
}
