package colour

import "math"

// Degrees is an angle around the hue circle.
type Degrees float64

// NoHue stands in a hue plane where a colour has no chroma, and so no hue. It
// lies outside [0,360), so no range of hues can contain it.
const NoHue = -1

// Norm returns d turned into [0,360).
func (d Degrees) Norm() Degrees {
	m := d
	if !(m > -360 && m < 360) { // the remainder is dear, and seldom needed
		m = Degrees(math.Mod(float64(d), 360))
	}
	if m < 0 {
		m += 360
	}
	if m >= 360 { // a tiny negative angle rounds up to the full circle
		m = 0
	}
	return m
}

// ArcTo returns the shortest signed turn from d to e, in (-180,180].
func (d Degrees) ArcTo(e Degrees) Degrees {
	turn := (e - d).Norm()
	if turn > 180 {
		turn -= 360
	}
	return turn
}
