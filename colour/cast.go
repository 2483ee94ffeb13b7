package colour

import (
	"fmt"
	"math"
)

// Luminance returns the CIE Y of linear sRGB light; Y of white is 1.
func Luminance(light [3]float64) float64 {
	m := &toXYZ[1]
	return float64(m[0]*light[0]) + float64(m[1]*light[1]) + float64(m[2]*light[2])
}

// maxGreyGain bounds what PickGrey may ask of one channel against the mean of
// all: at 64 one code of an 8-bit source becomes a quarter of the scale.
const maxGreyGain = 64

// PickGrey returns b with gains under which a grey thing is grey. sample is its
// mean in linear light as it comes from the source (see Sample). Water is taken
// away first, as b's path, attenuation and veil or black say; the gains then make R, G
// and B equal and keep the luminance. Where a channel has nothing left, or so
// little that its gain would pass 64, b is returned as it was with an error
// that names the channel.
func (b Base) PickGrey(sample [3]float64) (Base, error) {
	left := b.withoutWater(sample)
	y := Luminance(left)
	grey := b
	for c, v := range left {
		if !(v > 0 && y > 0 && y/v <= maxGreyGain && y <= math.MaxFloat64) {
			return b, fmt.Errorf("colour: grey sample has nothing left in %s: light is %.4g without water, want over %.4g",
				channelNames[c], v, max(0, y/maxGreyGain))
		}
		grey.Gains[c] = y / v
	}
	return grey, nil
}

// VeilFrom returns the veil that a sample of open water, in linear light, gives:
// far enough out the water's own light is all there is.
func VeilFrom(sample [3]float64) (veil [3]float64) {
	for c, v := range sample {
		if v > 0 && v <= math.MaxFloat64 {
			veil[c] = v
		}
	}
	return veil
}

// blackShare is how much of the darkest thing's light counts as light of the water: no
// thing is quite black, and noise makes some of its pixels darker than it is (common
// practice, no source).
const blackShare = 0.9

// BlackFrom returns the black that the darkest thing in the picture gives, by its linear
// light as Darkest has it: a thing that sends out no light of its own shows what the
// water in between sends (dark-object subtraction: P. S. Chavez 1988, Remote Sensing of
// Environment 24:459-479).
func BlackFrom(darkest [3]float64) [3]float64 {
	black := VeilFrom(darkest)
	for c := range black {
		black[c] *= blackShare
	}
	return black
}

// Warming returns gains that move along the blue-orange axis: red half the
// stops up, blue half down.
func Warming(stops float64) [3]float64 {
	return [3]float64{math.Exp2(stops / 2), 1, math.Exp2(-stops / 2)}
}

// Magenta returns gains that move along the green-magenta axis: green two
// thirds of the stops down, red and blue one third up.
func Magenta(stops float64) [3]float64 {
	up := math.Exp2(stops / 3)
	return [3]float64{up, math.Exp2(-2 * stops / 3), up}
}

// BalanceGains returns the gains of warming, magenta and a change of light,
// all in stops. Any three gains are one such triple: see GainsBalance.
func BalanceGains(warming, magenta, light float64) (gains [3]float64) {
	w, m, l := Warming(warming), Magenta(magenta), math.Exp2(light)
	for c := range gains {
		gains[c] = w[c] * m[c] * l
	}
	return gains
}

// GainsBalance is the inverse of BalanceGains.
func GainsBalance(gains [3]float64) (warming, magenta, light float64) {
	r, g, b := math.Log2(gains[0]), math.Log2(gains[1]), math.Log2(gains[2])
	return r - b, (r+b)/2 - g, (r + g + b) / 3
}
