package colour

import (
	"errors"
	"fmt"
	"math"
)

// A CDL is a grade by the ten numbers of the ASC Color Decision List, release
// 1.2 (American Society of Cinematographers, 2009). On display-encoded values,
// in this order:
//
//	v = clamp(in Slope + Offset)^Power            each channel for itself
//	Y = 0.2126 R + 0.7152 G + 0.0722 B            of the v
//	out = clamp(Y + Saturation (v - Y))
//
// where clamp limits to [0,1], and Y weighs encoded values, as the release says.
// A value that is not a number counts as 0.
type CDL struct {
	Slope      [3]float64 // R, G, B, from 0
	Offset     [3]float64 // in the picture's own scale
	Power      [3]float64 // over 0
	Saturation float64    // from 0, 1 = as it is
}

// cdlLuma weighs the channels for the saturation: the luma of ITU-R BT.709.
var cdlLuma = [3]float64{0.2126, 0.7152, 0.0722}

// NeutralCDL returns the grade that changes nothing.
func NeutralCDL() CDL {
	return CDL{Slope: [3]float64{1, 1, 1}, Power: [3]float64{1, 1, 1}, Saturation: 1}
}

// IsNeutral reports whether d changes nothing. It is then the identity to the
// bit, for values outside [0,1] too.
func (d CDL) IsNeutral() bool { return d == NeutralCDL() }

// Check returns an error for every number that the release rules out.
func (d CDL) Check() error {
	var problems []error
	check := func(name string, v float64, ok bool, want string) {
		if !ok || math.IsNaN(v) || math.IsInf(v, 0) {
			problems = append(problems, fmt.Errorf("colour: cdl: %s is %v, want %s", name, v, want))
		}
	}
	for c, name := range channelNames {
		check("slope of "+name, d.Slope[c], d.Slope[c] >= 0, "0 or more")
		check("offset of "+name, d.Offset[c], true, "a number")
		check("power of "+name, d.Power[c], d.Power[c] > 0, "a number over 0")
	}
	check("saturation", d.Saturation, d.Saturation >= 0, "0 or more")
	return errors.Join(problems...)
}

// Colour returns c after the grade. It is the definition; a Grade is its fast
// form.
func (d CDL) Colour(c RGB) RGB {
	if d.IsNeutral() {
		return c
	}
	v := [3]float64{c.R, c.G, c.B}
	for i := range v {
		v[i] = math.Pow(d.line(i, v[i]), d.Power[i])
	}
	y := CDLLuma(v)
	for i := range v {
		v[i] = clamp01(y + float64(d.Saturation*(v[i]-y)))
	}
	return RGB{v[0], v[1], v[2]}
}

// line is the grade of a channel up to the power.
func (d CDL) line(channel int, v float64) float64 {
	return clamp01(float64(v*d.Slope[channel]) + d.Offset[channel])
}

// CDLLuma returns the luma by which a grade's saturation goes: of R, G, B.
func CDLLuma(v [3]float64) float64 {
	return float64(cdlLuma[0]*v[0]) + float64(cdlLuma[1]*v[1]) + float64(cdlLuma[2]*v[2])
}

// clamp01 clamps v to [0,1]; what is not a number becomes 0.
func clamp01(v float64) float64 {
	if v >= 1 {
		return 1
	}
	if v > 0 {
		return v
	}
	return 0
}

// Jacobian returns how the graded colour moves with c: row i holds the
// derivatives of channel i of the result by R, G and B of c. Where a value is
// clamped, also one that lies on the clamp's end, the derivative is 0.
func (d CDL) Jacobian(c RGB) (j [3][3]float64) {
	if d.IsNeutral() {
		return [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	}
	var v, slope [3]float64
	for i, in := range [3]float64{c.R, c.G, c.B} {
		x := d.line(i, in)
		v[i] = math.Pow(x, d.Power[i])
		if x > 0 && x < 1 {
			slope[i] = d.Power[i] * v[i] / x * d.Slope[i]
		}
	}
	y := CDLLuma(v)
	for i := range j {
		if out := y + d.Saturation*(v[i]-y); !(out > 0 && out < 1) {
			continue
		}
		for k := range j[i] {
			j[i][k] = (1 - d.Saturation) * cdlLuma[k] * slope[k]
		}
		j[i][i] += d.Saturation * slope[i]
	}
	return j
}
