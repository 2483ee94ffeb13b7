package colour

// Steps are the numbers of a base's formula, worked out, for who says it in another
// language. In the linear light that Input's curve gives, for each channel:
//
//	x = (I - Haze) Scale            0 where that is below 0
//	y = Pivot (x/Pivot)^Contrast    at most White
//	z = y up to ShoulderFrom; above, ShoulderFrom + d / (1 + Bend d), d = y - ShoulderFrom
//
// and z is encoded as sRGB, at most 1.
type Steps struct {
	Haze         [3]float64 // R, G, B: light of the water in the way
	Scale        [3]float64 // gain over transmission
	White        float64    // what the brightest channel of source white has become, at least 1
	Bend         float64    // 0, but for rounding, where there is no shoulder
	ShoulderFrom float64
}

// Steps returns the numbers of b.
func (b Base) Steps() Steps {
	s := Steps{ShoulderFrom: shoulderFrom}
	for c, f := range b.tones() {
		s.Haze[c], s.Scale[c] = f.haze, f.gain/f.t
		s.White, s.Bend = f.white, f.bend
	}
	return s
}
