package sample

import (
	"context"
	"math"

	"halocline/colour"
)

// The sensor's noise at full scale: photons come in numbers, so it grows with
// the root of the light; reading adds a little that does not.
const (
	photonNoise = 0.0082
	readNoise   = 0.0022
	glare       = 0.012 // light that strays in the lens and lifts the shadows
)

// weak is how much more a channel's light is amplified than green's, red for
// the water it lost, blue for the sensor's weakness: it multiplies the noise
// (common practice, no source).
var weak = tint{2.3, 1, 2.1}

// expose8 turns the light of l into a display-encoded picture of 8-bit values.
func (f *moment) expose8(ctx context.Context, l *layer, frame, workers int) (*colour.Image, error) {
	m := colour.NewImage(l.w, l.h)
	out := [3]colour.Plane{m.R, m.G, m.B}
	curve := newCurve()
	err := colour.EachBand(ctx, workers, l.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range l.w {
				fall := f.vignette(x, y)
				for c := range out {
					v := float64(l.planes[c].Pix[y*l.w+x]) * f.exposure * fall
					v = f.noisy(v*f.gains[c], x, y, c, frame)
					out[c].Pix[y*l.w+x] = curve.at(v)
				}
			}
		}
	})
	return m, err
}

// vignette returns how much light the lens passes to (x, y), 1 in the middle.
func (f *moment) vignette(x, y int) float64 {
	u, v := (float64(x)+0.5-f.cam.cx)/f.cam.focal, (float64(y)+0.5-f.cam.cy)/f.cam.focal
	k := 1 + 0.8*(u*u+v*v)
	return 1 / (k * k)
}

// noisy adds the noise of one pixel in channel c to its light v: its own, and
// some it shares with its neighbours, as a mosaic sensor's channels do.
func (f *moment) noisy(v float64, x, y, c, frame int) float64 {
	key := f.seed + uint32(frame)*7919
	own := bell(hash(key, uint32(x), uint32(y), uint32(c)))
	mate := bell(hash(key, uint32(x+c)/2, uint32(y)/2, uint32(c)+16))
	sigma := math.Sqrt(photonNoise*photonNoise*max(v, 0)*weak[c] + readNoise*readNoise*weak[c]*weak[c])
	return v + f.noisiness*sigma*(0.85*own+0.45*mate)
}

// A curve is the camera's: a soft shoulder, the sRGB transfer, 8 bits; a table
// over light in [0,2).
type curve struct{ value []float32 }

const curveEntries = 1 << 14

func newCurve() *curve {
	c := &curve{make([]float32, curveEntries)}
	for i := range c.value {
		v := colour.Encoded(shoulder((float64(i) + 0.5) * 2 / curveEntries))
		c.value[i] = float32(math.Floor(clamp01(v)*255+0.5) / 255)
	}
	return c
}

func (c *curve) at(v float64) float32 {
	return c.value[int(max(0, min(curveEntries-1, v*curveEntries/2)))]
}

// shoulder bends light above 0.6, which would clip, towards 1; glare lifts what
// lies below a little.
func shoulder(v float64) float64 {
	const knee = 0.6
	v += glare * (1 - v)
	if v <= knee {
		return v
	}
	u := (v - knee) / (1 - knee)
	return knee + (1-knee)*u/(1+0.72*u)
}
