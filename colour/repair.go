package colour

import (
	"context"
	"sync/atomic"
)

// An encoded value this near 0 or 1 is clipped at the source: half a code of 8
// bits, so that 254/255 is not and 255/255 is.
const clipMargin = 1. / 512

// leastSignal is how many sigmas of its own noise a recovered signal needs.
const leastSignal = 2

// BeyondRepair makes mask the size of m, 1 where no base can bring a pixel
// back and 0 elsewhere, and returns the share of such pixels. A pixel is beyond
// repair where any channel
//   - is clipped at the source: within 1/512 of 0 or 1, or
//   - has a signal, its linear light less that of the water in between under b, below 2
//     sigma of its own noise. noise is as from Noise; in linear light it is
//     multiplied by the slope of the source's curve. What b multiplies later
//     multiplies signal and noise alike and so does not count.
func BeyondRepair(ctx context.Context, mask *Plane, m *Image, b Base, noise [3]float64, workers int) (share float64, err error) {
	if err := b.Check(); err != nil {
		return 0, err
	}
	w, h := m.Size()
	mask.Reshape(w, h)
	var low [3]float32
	t := b.transmission()
	haze := b.haze(t)
	for c := range low {
		low[c] = float32(darkestSignal(b.Input, haze[c], noise[c]))
	}
	var lost atomic.Int64
	err = EachBand(ctx, workers, h, func(y0, y1 int) {
		n := 0
		for y := y0; y < y1; y++ {
			n += repairRow(mask.Row(y), m.R.Row(y), m.G.Row(y), m.B.Row(y), &low)
		}
		lost.Add(int64(n))
	})
	return float64(lost.Load()) / float64(max(1, w*h)), err
}

func repairRow(mask, r, g, b []float32, low *[3]float32) (lost int) {
	const high = 1 - clipMargin
	g, b, mask = g[:len(r)], b[:len(r)], mask[:len(r)]
	for x := range mask {
		sound := r[x] > low[0] && r[x] < high && g[x] > low[1] && g[x] < high && b[x] > low[2] && b[x] < high
		mask[x] = 0
		if !sound { // nor is NaN
			mask[x] = 1
			lost++
		}
	}
	return lost
}

// darkestSignal returns the highest encoded value at which light less haze is
// under leastSignal sigmas, or clipMargin.
func darkestSignal(input Transfer, haze, noise float64) float64 {
	short := func(v float64) bool { return input.Light(v)-haze < leastSignal*noise*input.slope(v) }
	const samples = 1024
	for i := samples; i >= 0; i-- {
		if v := float64(i) / samples; short(v) {
			low, high := v, v+1./samples
			for high-low > 1e-7 {
				if mid := (low + high) / 2; short(mid) {
					low = mid
				} else {
					high = mid
				}
			}
			return max(clipMargin, low)
		}
	}
	return clipMargin
}
