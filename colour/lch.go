package colour

import "math"

// LCh is CIELAB in polar form: lightness L* in [0,100], chroma C in Lab units,
// hue.
type LCh struct {
	L, C float64
	H    Degrees
}

// Achromatic is the chroma, in Lab units, up to which a colour has no hue: an
// 8-bit grey off by one code in one channel has chroma above 0.2, rounding in
// the float32 conversion stays under 0.01.
const Achromatic = 0.01

// LCh returns c in polar form. At a chroma of Achromatic or less there is no
// hue: ok is false and H is 0.
func (c Lab) LCh() (lch LCh, ok bool) {
	lch.L, lch.C = c.L, math.Hypot(c.A, c.B)
	if !(lch.C > Achromatic) {
		return lch, false
	}
	lch.H = Degrees(math.Atan2(c.B, c.A) * 180 / math.Pi).Norm()
	return lch, true
}

// Lab is the inverse of Lab.LCh.
func (c LCh) Lab() Lab {
	sin, cos := math.Sincos(float64(c.H) * math.Pi / 180)
	return Lab{c.L, c.C * cos, c.C * sin}
}

// LCh returns a display-encoded colour in lightness, chroma and hue.
func (c RGB) LCh() (lch LCh, ok bool) { return c.Lab().LCh() }
