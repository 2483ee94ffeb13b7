package selection

import (
	"math"

	"halocline/colour"
)

// A Range is a soft interval: weight 1 on [From,To], fading to 0 over Before
// below From and over After above To. A fade of 0 is a hard edge that belongs
// to the range. On a line From <= To; on the hue circle the range runs from
// From upward to To, may cross 0 degrees, and is the whole circle when
// To - From is 360 or more. Fades are never negative.
type Range struct {
	From, To      float64
	Before, After float64
}

// smoothstep is 3u^2 - 2u^3: 0 at 0, 1 at 1, level at both ends.
func smoothstep(u float64) float64 {
	return u * u * (3 - 2*u)
}

// fade returns how much is left at a distance d > 0 outside a full range: 0 from
// width on, and beyond a hard edge.
func fade(d, width float64) float64 {
	if !(d < width) { // also where one is NaN
		return 0
	}
	return smoothstep(1 - d/width)
}

// Weight returns how far v lies in the range, on a line. A NaN is out.
func (r Range) Weight(v float64) float64 {
	if v < r.From {
		return fade(r.From-v, r.Before)
	}
	if v <= r.To {
		return 1
	}
	return fade(v-r.To, r.After)
}

// HueWeight returns how far a hue lies in the range, on the circle. Where both
// fades reach a hue the greater weight counts. A NaN is out.
func (r Range) HueWeight(h colour.Degrees) float64 {
	if math.IsNaN(float64(h)) {
		return 0
	}
	span := r.Span()
	above := float64((h - colour.Degrees(r.From)).Norm())
	if above <= span {
		return 1
	}
	return max(fade(above-span, r.After), fade(360-above, r.Before))
}

// Span returns the width in degrees of a hue range's full part, in [0,360].
func (r Range) Span() float64 {
	if r.To-r.From >= 360 {
		return 360
	}
	return float64(colour.Degrees(r.To - r.From).Norm())
}
