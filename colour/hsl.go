package colour

// HSL is hue, saturation and lightness as CSS Color 4 defines them, over
// display-encoded sRGB. S and L are in [0,1] within gamut.
type HSL struct {
	H    Degrees
	S, L float64
}

// HSL returns c in hue, saturation and lightness. Where R = G = B there is no
// hue: ok is false and H is 0. A colour so far out of gamut that its lightness
// is below 0 or above 1 would have a negative saturation: as in CSS Color 4 the
// hue is turned by 180 degrees instead, and HSL.RGB gives the colour back. At a
// lightness of exactly 0 or 1 saturation is 0.
func (c RGB) HSL() (hsl HSL, ok bool) {
	high, low := max(c.R, c.G, c.B), min(c.R, c.G, c.B)
	span := high - low
	hsl.L = (high + low) / 2
	if span == 0 {
		return hsl, false
	}
	if room := min(hsl.L, 1-hsl.L) * 2; room != 0 {
		hsl.S = span / room
	}
	switch high {
	case c.R:
		hsl.H = Degrees(60 * (c.G - c.B) / span)
	case c.G:
		hsl.H = Degrees(60*(c.B-c.R)/span + 120)
	default:
		hsl.H = Degrees(60*(c.R-c.G)/span + 240)
	}
	if hsl.S < 0 {
		hsl.S, hsl.H = -hsl.S, hsl.H+180
	}
	hsl.H = hsl.H.Norm()
	return hsl, true
}

// RGB returns the colour of hue, saturation and lightness.
func (c HSL) RGB() RGB {
	room := c.S * min(c.L, 1-c.L)
	part := func(n float64) float64 {
		k := n + float64(c.H.Norm())/30
		if k >= 12 {
			k -= 12
		}
		return c.L - room*max(-1, min(k-3, 9-k, 1))
	}
	return RGB{part(0), part(8), part(4)}
}
