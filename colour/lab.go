package colour

import "math"

// XYZ is a CIE 1931 colour; Y of the white is 1.
type XYZ struct{ X, Y, Z float64 }

// Lab is a CIELAB colour (CIE 15:2004) against the D65 white of the sRGB matrix.
type Lab struct{ L, A, B float64 }

// toXYZ takes linear sRGB to XYZ: the exact matrix of CSS Color 4's sample
// code, from the primaries of IEC 61966-2-1 and white x, y = 0.3127, 0.3290.
var toXYZ = [3][3]float64{
	{506752. / 1228815, 87881. / 245763, 12673. / 70218},
	{87098. / 409605, 175762. / 245763, 12673. / 175545},
	{7918. / 409605, 87881. / 737289, 1001167. / 1053270},
}

// fromXYZ is its exact inverse, from the same source.
var fromXYZ = [3][3]float64{
	{12831. / 3959, -329. / 214, -1974. / 3959},
	{-851781. / 878810, 1648619. / 878810, 36519. / 878810},
	{705. / 12673, -2585. / 12673, 705. / 667},
}

// white is where R = G = B = 1 goes: the sums of the matrix rows, so that a
// grey has a* = b* = 0 to rounding.
var white = XYZ{
	toXYZ[0][0] + toXYZ[0][1] + toXYZ[0][2],
	toXYZ[1][0] + toXYZ[1][1] + toXYZ[1][2],
	toXYZ[2][0] + toXYZ[2][1] + toXYZ[2][2],
}

// The CIELAB function, CIE 15:2004: a cube root above (6/29)^3, a line below.
const (
	labKnee  = 216. / 24389 // (6/29)^3
	labKappa = 24389. / 27  // (29/3)^3
)

func labCurve(t float64) float64 {
	if t > labKnee {
		return math.Cbrt(t)
	}
	return (float64(labKappa*t) + 16) / 116
}

func labCurveInverse(f float64) float64 {
	if f > 6./29 {
		return f * f * f
	}
	return (116*f - 16) / labKappa
}

// Lab returns a colour relative to the white of sRGB.
func (c XYZ) Lab() Lab {
	x, y, z := labCurve(c.X/white.X), labCurve(c.Y/white.Y), labCurve(c.Z/white.Z)
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// XYZ is the inverse of XYZ.Lab.
func (c Lab) XYZ() XYZ {
	y := (c.L + 16) / 116
	return XYZ{
		white.X * labCurveInverse(y+c.A/500),
		white.Y * labCurveInverse(y),
		white.Z * labCurveInverse(y-c.B/200),
	}
}

// XYZ returns a display-encoded colour as CIE XYZ.
func (c RGB) XYZ() XYZ {
	r, g, b := Linear(c.R), Linear(c.G), Linear(c.B)
	m := &toXYZ
	return XYZ{
		m[0][0]*r + m[0][1]*g + m[0][2]*b,
		m[1][0]*r + m[1][1]*g + m[1][2]*b,
		m[2][0]*r + m[2][1]*g + m[2][2]*b,
	}
}

// RGB returns a CIE XYZ colour display encoded; outside sRGB its parts lie
// outside [0,1].
func (c XYZ) RGB() RGB {
	m := &fromXYZ
	return RGB{
		Encoded(m[0][0]*c.X + m[0][1]*c.Y + m[0][2]*c.Z),
		Encoded(m[1][0]*c.X + m[1][1]*c.Y + m[1][2]*c.Z),
		Encoded(m[2][0]*c.X + m[2][1]*c.Y + m[2][2]*c.Z),
	}
}

// Lab returns a display-encoded colour in CIELAB.
func (c RGB) Lab() Lab { return c.XYZ().Lab() }

// RGB is the inverse of RGB.Lab.
func (c Lab) RGB() RGB { return c.XYZ().RGB() }
