package motion

import (
	"image"
	"math"
)

// Lead returns the flow with the motion of what can be trusted carried to what lies near it:
// at each node it is own of the motion there and the rest of the mean about it, weighed by
// trust and by a Gaussian of sigma pixels. own and trust are in [0,1], one for each node of the
// grid (see Grid). Where nothing near is trusted the motion stays. At a subject's edge flow
// mixes its motion with that of what lies behind; inside of it flow can be trusted.
func (f *Flow) Lead(own, trust []float32, sigma float64) *Flow {
	out := *f
	out.u, out.v = append([]float32(nil), f.u...), append([]float32(nil), f.v...)
	box := f.led(own)
	if box.Empty() {
		return &out
	}
	taps := gaussian(sigma / float64(f.scale))
	r := len(taps) - 1
	wide := box.Inset(-r).Intersect(image.Rect(0, 0, f.gw, f.gh))
	w := wide.Dx()
	var across [3][]float32 // trust, trust * u, trust * v, smoothed along rows
	for c := range across {
		across[c] = make([]float32, w*wide.Dy())
	}
	line := make([]float32, w)
	for y := wide.Min.Y; y < wide.Max.Y; y++ {
		from := y*f.gw + wide.Min.X
		for c, of := range [3][]float32{nil, f.u, f.v} {
			for x := range line {
				line[x] = trust[from+x]
				if of != nil {
					line[x] *= of[from+x]
				}
			}
			smoothLine(across[c][(y-wide.Min.Y)*w:][:w], line, taps)
		}
	}
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			i := y*f.gw + x
			if own[i] >= 1 {
				continue
			}
			var sum [3]float32
			for k := -r; k <= r; k++ {
				if row := y + k - wide.Min.Y; row >= 0 && row < wide.Dy() {
					j := row*w + x - wide.Min.X
					t := taps[max(k, -k)]
					for c := range sum {
						sum[c] += float32(t * across[c][j])
					}
				}
			}
			if sum[0] < leastTrust {
				continue
			}
			out.u[i] = mix(sum[1]/sum[0], f.u[i], own[i])
			out.v[i] = mix(sum[2]/sum[0], f.v[i], own[i])
		}
	}
	return &out
}

// leastTrust is how much must be trusted about a node for it to be led.
const leastTrust = 1e-4

// led is the box of the nodes that are not all their own.
func (f *Flow) led(own []float32) (box image.Rectangle) {
	for y := range f.gh {
		for x, v := range own[y*f.gw : (y+1)*f.gw] {
			if v < 1 {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return box
}

// gaussian returns half of a Gaussian's taps, from its middle to 3 sigma.
func gaussian(sigma float64) []float32 {
	taps := make([]float32, 1+int(math.Ceil(3*sigma)))
	sum := 0.
	for i := range taps {
		v := math.Exp(-float64(i*i) / (2 * sigma * sigma))
		taps[i] = float32(v)
		sum += v
		if i > 0 {
			sum += v
		}
	}
	for i := range taps {
		taps[i] /= float32(sum)
	}
	return taps
}

// smoothLine smooths a line; beyond it is nothing.
func smoothLine(dst, src, taps []float32) {
	r := len(taps) - 1
	for x := range dst {
		sum := float32(taps[0] * src[x])
		for k := 1; k <= r; k++ {
			if x >= k {
				sum += float32(taps[k] * src[x-k])
			}
			if x+k < len(src) {
				sum += float32(taps[k] * src[x+k])
			}
		}
		dst[x] = sum
	}
}
