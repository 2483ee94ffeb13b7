package colour

import "math"

// A Difference is a CIEDE2000 difference of two colours, with its parts: the difference of each
// channel as the formula weighs it, second minus first.
type Difference struct {
	Lightness, Chroma, Hue float64
	Total                  float64 // about 1 is just visible side by side
}

// DeltaE returns the CIEDE2000 colour difference (CIE 142-2001) between c and
// d, with kL = kC = kH = 1: about 1 is just visible side by side. Written after
// G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula:
// Implementation Notes, Supplementary Test Data, and Mathematical
// Observations", Color Research & Application 30(1):21-30, 2005. Where the two
// hues are opposite to the last bit the formula jumps, and either side is right.
func (c Lab) DeltaE(d Lab) float64 { return c.Difference(d).Total }

// Difference returns DeltaE with its parts.
func (c Lab) Difference(d Lab) Difference {
	meanChroma := (math.Hypot(c.A, c.B) + math.Hypot(d.A, d.B)) / 2
	stretch := 1 + 0.5*(1-seventh(meanChroma)) // 1 + G
	c1, h1 := stretched(c, stretch)
	c2, h2 := stretched(d, stretch)

	dL, dC := d.L-c.L, c2-c1
	turn, meanHue := hueBetween(h1, h2, c1*c2 == 0)
	dH := 2 * math.Sqrt(c1*c2) * sinDegrees(turn/2)

	meanL, meanC := (c.L+d.L)/2, (c1+c2)/2
	t := 1 - 0.17*cosDegrees(meanHue-30) + 0.24*cosDegrees(2*meanHue) +
		0.32*cosDegrees(3*meanHue+6) - 0.20*cosDegrees(4*meanHue-63)
	fromMiddle := (meanL - 50) * (meanL - 50)
	sL := 1 + 0.015*fromMiddle/math.Sqrt(20+fromMiddle)
	sC := 1 + 0.045*meanC
	sH := 1 + 0.015*meanC*t
	blue := (meanHue - 275) / 25
	rT := -2 * seventh(meanC) * sinDegrees(60*math.Exp(-blue*blue))

	l, ch, h := dL/sL, dC/sC, dH/sH
	return Difference{l, ch, h, math.Sqrt(max(0, l*l+ch*ch+h*h+rT*ch*h))}
}

// seventh is sqrt(C^7 / (C^7 + 25^7)).
func seventh(chroma float64) float64 {
	c7 := math.Pow(chroma, 7)
	return math.Sqrt(c7 / (c7 + 6103515625))
}

// stretched returns chroma and hue in degrees after a* is multiplied by stretch.
func stretched(c Lab, stretch float64) (chroma, hue float64) {
	a := c.A * stretch
	if a == 0 && c.B == 0 {
		return 0, 0
	}
	return math.Hypot(a, c.B), float64(Degrees(math.Atan2(c.B, a) * 180 / math.Pi).Norm())
}

// hueBetween returns the turn from h1 to h2 by the shorter way, and the hue
// halfway, after equations 10 and 14 of Sharma et al. Without a hue on one side
// there is no turn, and the other's hue (the first's being 0) stands.
func hueBetween(h1, h2 float64, hueless bool) (turn, mean float64) {
	turn, mean = h2-h1, (h1+h2)/2
	switch {
	case hueless:
		return 0, h1 + h2
	case math.Abs(turn) <= 180:
		return turn, mean
	case turn > 180:
		turn -= 360
	default:
		turn += 360
	}
	if h1+h2 < 360 {
		return turn, mean + 180
	}
	return turn, mean - 180
}

func sinDegrees(d float64) float64 { return math.Sin(d * math.Pi / 180) }
func cosDegrees(d float64) float64 { return math.Cos(d * math.Pi / 180) }
