package seam

import (
	"math"
	"math/rand/v2"

	"halocline/app/check"
	"halocline/colour"
)

// drawn returns a matte whose alpha at each pixel's centre is of.
func drawn(w, h int, of func(x, y float64) float64) colour.Plane {
	p := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			p.Row(y)[x] = check.Alpha(float32(of(float64(x)+0.5, float64(y)+0.5)))
		}
	}
	return p
}

// shape is a matte of a soft thing of round outline; noisy adds what a pick makes of noise.
func shape(w, h int, grow float64, noisy bool) colour.Plane {
	rnd := rand.New(rand.NewPCG(5, 6))
	return drawn(w, h, func(x, y float64) float64 {
		u, v := x/float64(h), y/float64(h)
		a := 0.5 + 40*(0.3-math.Hypot(u-0.8, v-0.5)+0.05*math.Sin(20*u)*math.Cos(17*v)) + grow
		if noisy {
			a += 0.3 * rnd.NormFloat64()
		}
		return a
	})
}

// warmTrial is a grade as one tries on skin: warmer and lighter, at a strength.
func warmTrial(strength float64) colour.CDL {
	k := strength
	return colour.CDL{
		Slope:      [3]float64{1 + 0.12*k, 1 + 0.03*k, 1 - 0.08*k},
		Offset:     [3]float64{0.02 * k, 0.01 * k, 0},
		Power:      [3]float64{1 - 0.08*k, 1 - 0.08*k, 1 - 0.08*k},
		Saturation: 1 + 0.08*k,
	}
}
