package clf

import (
	"math"

	"halocline/colour"
)

// A CDL is the node ASC_CDL, of one of cdlStyles.
type CDL struct {
	Style string
	Grade colour.CDL
}

// The styles.
const (
	cdlFwd        = "Fwd"
	cdlRev        = "Rev"
	cdlFwdNoClamp = "FwdNoClamp"
	cdlRevNoClamp = "RevNoClamp"
)

var cdlStyles = []string{cdlFwd, cdlRev, cdlFwdNoClamp, cdlRevNoClamp}

func (d CDL) run(v [3]float64) [3]float64 {
	if d.Style == cdlFwd {
		out := d.Grade.Colour(colour.RGB{R: v[0], G: v[1], B: v[2]})
		return limited([3]float64{out.R, out.G, out.B}, true) // a neutral grade does not clamp
	}
	clamped := d.Style == cdlRev
	if d.Style == cdlFwdNoClamp {
		for c := range v {
			v[c] = powerAbove(v[c]*d.Grade.Slope[c]+d.Grade.Offset[c], d.Grade.Power[c])
		}
		return saturated(v, d.Grade.Saturation)
	}
	v = limited(saturated(limited(v, clamped), 1/d.Grade.Saturation), clamped)
	for c := range v {
		v[c] = (powerAbove(v[c], 1/d.Grade.Power[c]) - d.Grade.Offset[c]) / d.Grade.Slope[c]
	}
	return limited(v, clamped)
}

// powerAbove is a power of x, which stays as it is below 0.
func powerAbove(x, power float64) float64 {
	if x < 0 {
		return x
	}
	return math.Pow(x, power)
}

// saturated moves a colour away from its luma by a factor.
func saturated(v [3]float64, factor float64) [3]float64 {
	luma := colour.CDLLuma(v)
	for c := range v {
		v[c] = luma + factor*(v[c]-luma)
	}
	return v
}

// limited clamps a colour to [0,1] where it is to be clamped.
func limited(v [3]float64, clamped bool) [3]float64 {
	for c := range v {
		if clamped {
			v[c] = min(max(v[c], 0), 1)
		}
	}
	return v
}
