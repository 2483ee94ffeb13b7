package check

import "halocline/colour"

// warmTrial is a grade as one tries on skin: warmer and lighter, at a strength.
func warmTrial(strength float64) colour.CDL {
	k := strength
	return colour.CDL{
		Slope:      [3]float64{1 + 0.12*k, 1 + 0.03*k, 1 - 0.08*k},
		Offset:     [3]float64{0.02 * k, 0.01 * k, 0},
		Power:      [3]float64{1 - 0.08*k, 1 - 0.08*k, 1 - 0.08*k},
		Saturation: 1 + 0.08*k,
	}
}
