package colour

import (
	"fmt"
	"math"
)

// CDLControls are four ways to turn a CDL's slopes and powers, each of which
// leaves the others' readings alone. On the display-encoded channels x they are
//
//	out = pivot (x gain / pivot)^Contrast
//
// where the gains are those of BalanceGains(BlueOrange, GreenMagenta,
// Lightness), taken on encoded values here. As a CDL that is a power of
// Contrast and slopes of gain pivot^((1 - Contrast) / Contrast): the slope stands
// inside of the power, and takes the pivot there.
type CDLControls struct {
	BlueOrange   float64 // stops between red and blue; over 0 to orange
	GreenMagenta float64 // stops between green and the others; over 0 to magenta
	Lightness    float64 // stops on all channels; over 0 lighter
	Contrast     float64 // exponent about the pivot; 1 changes nothing
}

// Rounded is k without the last bits of logarithms, to nine digits: what was set back
// to neutral is neutral.
func (k CDLControls) Rounded() CDLControls {
	for _, v := range []*float64{&k.BlueOrange, &k.GreenMagenta, &k.Lightness, &k.Contrast} {
		*v = math.Round(*v*1e9)/1e9 + 0 // + 0: -0 is 0
	}
	return k
}

// MiddlePivot is the encoded value of an 18 % grey card, the pivot where none is
// chosen.
var MiddlePivot = Encoded(MiddleGrey)

// leastSlope is what a slope of 0, which no stops can say, counts as: at 2^-16 a
// channel is under one code of 16 bits.
const leastSlope = 1. / (1 << 16)

// Controls returns what the controls read on d, with contrast about pivot, a
// number over 0. Contrast is the geometric mean of the powers. leftover tells
// that d has more than controls can say: offsets, powers that differ, a slope of
// 0. Saturation is a control of its own and none of the four.
func (d CDL) Controls(pivot float64) (k CDLControls, leftover bool) {
	k.Contrast = d.meanPower()
	toSlope := pivotSlope(k.Contrast, pivot)
	var gains [3]float64
	for c, slope := range d.Slope {
		gains[c] = max(slope, leastSlope) / toSlope
		leftover = leftover || slope < leastSlope || d.Offset[c] != 0 || d.Power[c] != d.Power[0]
	}
	k.BlueOrange, k.GreenMagenta, k.Lightness = GainsBalance(gains)
	return k, leftover
}

// WithControls returns d with what the controls say, contrast about pivot. What
// is left over in d stays: its offsets, the ratios of its powers, its saturation.
// It fails where a value is not a number or makes a grade that is none.
func (d CDL) WithControls(k CDLControls, pivot float64) (CDL, error) {
	switch {
	case !(k.Contrast > 0 && k.Contrast <= math.MaxFloat64):
		return d, fmt.Errorf("colour: cdl: contrast is %v, want a number over 0", k.Contrast)
	case !(pivot > 0 && pivot <= math.MaxFloat64):
		return d, fmt.Errorf("colour: cdl: pivot is %v, want a number over 0", pivot)
	}
	before, toSlope := d.meanPower(), pivotSlope(k.Contrast, pivot)
	out := d
	for c, gain := range BalanceGains(k.BlueOrange, k.GreenMagenta, k.Lightness) {
		out.Slope[c] = gain * toSlope
		out.Power[c] = k.Contrast * (d.Power[c] / before)
	}
	if err := out.Check(); err != nil {
		return d, err
	}
	return out, nil
}

// meanPower is the geometric mean of the powers, exact where they are equal.
func (d CDL) meanPower() float64 {
	if d.Power[0] == d.Power[1] && d.Power[1] == d.Power[2] {
		return d.Power[0]
	}
	return math.Cbrt(d.Power[0]) * math.Cbrt(d.Power[1]) * math.Cbrt(d.Power[2])
}

// pivotSlope is the slope under a power that leaves the pivot where it is.
func pivotSlope(contrast, pivot float64) float64 {
	return math.Pow(pivot, (1-contrast)/contrast)
}
