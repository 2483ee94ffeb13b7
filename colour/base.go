package colour

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// A Base is the correction of the whole frame that comes before any pick by
// colour. In the linear light I that Input's curve gives, in this order and for
// each channel:
//
//	J = (I - H) / t              water taken away, t = exp(-Beta Path)
//	x = J Gains 2^Exposure       0 where that is below 0
//	y = Pivot (x/Pivot)^Contrast
//	z = y up to 0.8; above, 0.8 + d / (1 + a d), d = y - 0.8
//
// and z is encoded as sRGB. The first line undoes I = J t + H, the light of a thing
// seen through water. H, the light of the water in between, is Veil (1 - t), or Black
// where that is above 0 in any channel. t is taken as at least 0.02, for beyond a
// gain of 50 there is nothing but noise. The last line is the shoulder: with
// a = 1/0.2 - 1/(W - 0.8) it starts with slope 1 and brings W to 1, where W is
// what the brightest channel of source white has become, at least 1. All three
// channels share it, so equal channels stay equal; at W = 1 it is the identity,
// so nothing jumps as settings leave neutral. Results lie in [0,1].
//
// Neutral settings are the identity to the bit, for values outside [0,1] too.
type Base struct {
	Input    Transfer   // the source's curve
	Gains    [3]float64 // white balance: R, G, B, over 0
	Veil     [3]float64 // light of open water, linear, from 0
	Black    [3]float64 // light that lies over a black thing, linear, from 0; all 0: not known
	Beta     [3]float64 // attenuation in 1/m, from 0
	Path     float64    // length of the way through water in m, from 0
	Exposure float64    // stops
	Contrast float64    // over 0, 1 = as it is
	Pivot    float64    // linear light that contrast leaves alone, over 0
}

// MiddleGrey is the linear light of an 18 % grey card, the neutral pivot.
const MiddleGrey = 0.18

const (
	leastTransmission = 0.02
	shoulderFrom      = 0.8
)

// Neutral returns the base that changes nothing.
func Neutral() Base {
	return Base{Gains: [3]float64{1, 1, 1}, Contrast: 1, Pivot: MiddleGrey}
}

// IsNeutral reports whether b changes nothing.
func (b Base) IsNeutral() bool {
	return b.Input == SRGB && b.Gains == [3]float64{1, 1, 1} && b.Exposure == 0 && b.Contrast == 1 && b.transmission() == [3]float64{1, 1, 1} && b.Black == [3]float64{}
}

var channelNames = [3]string{"red", "green", "blue"}

// Check returns an error for every setting that is out of its range.
func (b Base) Check() error {
	var problems []error
	if _, err := ParseTransfer(b.Input.String()); err != nil {
		problems = append(problems, fmt.Errorf("colour: base: input's curve is %v, want one of %s", b.Input, strings.Join(transferNames[:], ", ")))
	}
	check := func(name string, v float64, ok bool, want string) {
		if !ok || math.IsNaN(v) || math.IsInf(v, 0) {
			problems = append(problems, fmt.Errorf("colour: base: %s is %v, want %s", name, v, want))
		}
	}
	for c, name := range channelNames {
		check("gain of "+name, b.Gains[c], b.Gains[c] > 0, "a number over 0")
		check("veil of "+name, b.Veil[c], b.Veil[c] >= 0, "0 or more")
		check("black of "+name, b.Black[c], b.Black[c] >= 0, "0 or more")
		check("attenuation of "+name, b.Beta[c], b.Beta[c] >= 0, "0 or more")
	}
	check("path", b.Path, b.Path >= 0, "0 m or more")
	check("exposure", b.Exposure, math.Abs(b.Exposure) <= 100, "between -100 and 100 stops")
	check("contrast", b.Contrast, b.Contrast > 0, "a number over 0")
	check("pivot", b.Pivot, b.Pivot > 0, "a number over 0")
	return errors.Join(problems...)
}

// transmission returns t, the share of a thing's light that comes through.
func (b Base) transmission() (t [3]float64) {
	for c := range t {
		t[c] = max(leastTransmission, math.Exp(-b.Beta[c]*b.Path))
	}
	return t
}

// haze returns H, the light of the water in between, for a transmission.
func (b Base) haze(t [3]float64) (haze [3]float64) {
	if b.Black != [3]float64{} {
		return b.Black
	}
	for c := range haze {
		haze[c] = b.Veil[c] * (1 - t[c])
	}
	return haze
}

// withoutWater inverts the water in linear light.
func (b Base) withoutWater(light [3]float64) [3]float64 {
	t := b.transmission()
	for c, haze := range b.haze(t) {
		light[c] = (light[c] - haze) / t[c]
	}
	return light
}

// Colour returns c, display encoded, after the correction. A part that is not
// a number becomes 0. It is the definition; Curves are its fast form.
func (b Base) Colour(c RGB) RGB {
	if b.IsNeutral() {
		return c
	}
	f := b.tones()
	return RGB{f[0].encoded(c.R), f[1].encoded(c.G), f[2].encoded(c.B)}
}

// LightColour returns what the correction makes of linear light as Sample gives
// it, display encoded.
func (b Base) LightColour(light [3]float64) RGB {
	f := b.tones()
	return RGB{f[0].fromLight(light[0]), f[1].fromLight(light[1]), f[2].fromLight(light[2])}
}

// A tone is what a base does to one channel, with everything worked out that
// does not depend on the pixel.
type tone struct {
	input           Transfer
	t, haze         float64 // transmission, light of the water in between
	gain            float64 // Gains 2^Exposure
	contrast, pivot float64
	white, bend     float64 // the shoulder's W and a
}

func (b Base) tones() (f [3]tone) {
	white := 1.
	t := b.transmission()
	haze := b.haze(t)
	for c := range f {
		f[c] = tone{
			input: b.Input, t: t[c], haze: haze[c],
			gain:     b.Gains[c] * math.Exp2(b.Exposure),
			contrast: b.Contrast, pivot: b.Pivot,
		}
		white = max(white, f[c].light(b.Input.Light(1)))
	}
	white = min(white, 1e30) // so that the shoulder stays a number
	for c := range f {
		f[c].white = white
		f[c].bend = 1/(1-shoulderFrom) - 1/(white-shoulderFrom)
	}
	return f
}

// light takes linear light up to the shoulder.
func (f *tone) light(v float64) float64 {
	x := max(0, (v-f.haze)/f.t*f.gain)
	if f.contrast == 1 {
		return x
	}
	return f.pivot * math.Pow(x/f.pivot, f.contrast)
}

func (f *tone) shoulder(y float64) float64 {
	y = min(y, f.white)
	if y <= shoulderFrom {
		return y
	}
	d := y - shoulderFrom
	return min(1, shoulderFrom+d/(1+float64(f.bend*d)))
}

func (f *tone) encoded(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return f.fromLight(f.input.Light(v))
}

func (f *tone) fromLight(v float64) float64 { return min(1, Encoded(f.shoulder(f.light(v)))) }
