package colour

import "math"

// tableEntry rounds v to a multiple of 2^-24. Library functions such as
// math.Exp and math.Pow may differ in their last bits between builds and
// machines; what a table holds must not.
func tableEntry(v float64) float32 {
	return float32(math.Round(v*(1<<24)) / (1 << 24))
}
