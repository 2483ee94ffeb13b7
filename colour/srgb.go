package colour

import "math"

// RGB is one display-encoded sRGB colour; each part is in [0,1] within gamut.
type RGB struct{ R, G, B float64 }

// The sRGB transfer function, IEC 61966-2-1:1999: linear near black, a power of
// 2.4 above. Thresholds as printed there.
const (
	srgbEncodedKnee = 0.04045
	srgbLinearKnee  = 0.0031308
	srgbSlope       = 12.92
	srgbOffset      = 0.055
	srgbPower       = 2.4
)

// Linear returns the light of an encoded sRGB value. Values below 0 are
// mirrored, values above 1 follow the curve, so that nothing is lost.
func Linear(encoded float64) float64 {
	if encoded < 0 {
		return -Linear(-encoded)
	}
	if encoded <= srgbEncodedKnee {
		return encoded / srgbSlope
	}
	return math.Pow((encoded+srgbOffset)/(1+srgbOffset), srgbPower)
}

// Encoded returns the sRGB value of a light; it is the inverse of Linear.
func Encoded(linear float64) float64 {
	if linear < 0 {
		return -Encoded(-linear)
	}
	if linear <= srgbLinearKnee {
		return linear * srgbSlope
	}
	return float64((1+srgbOffset)*math.Pow(linear, 1/srgbPower)) - srgbOffset
}

// linearSlope is the derivative of Linear.
func linearSlope(encoded float64) float64 {
	if encoded = math.Abs(encoded); encoded <= srgbEncodedKnee {
		return 1 / srgbSlope
	}
	return srgbPower / (1 + srgbOffset) * math.Pow((encoded+srgbOffset)/(1+srgbOffset), srgbPower-1)
}
