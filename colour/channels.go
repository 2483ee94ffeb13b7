package colour

import (
	"math"
)

// HSLRow turns samples of R, G, B into hue, saturation and lightness as
// RGB.HSL defines them: within 1e-3 degrees, 2e-6 and 2e-6 inside [0,1]. Where
// the three are equal, hue is NoHue; so it is, with S and L 0, where one is not
// finite. All slices have the length of r; outputs may be the inputs.
func HSLRow(h, s, l, r, g, b []float32) {
	n := len(r)
	g, b, h, s, l = g[:n], b[:n], h[:n], s[:n], l[:n]
	for x, red := range r {
		h[x], s[x], l[x] = fastHSL(red, g[x], b[x])
	}
}

func fastHSL(r, g, b float32) (h, s, l float32) {
	// Compare and assign: the builtins min and max also order NaN and -0.
	high, low := r, g
	if g > r {
		high, low = g, r
	}
	if b > high {
		high = b
	} else if b < low {
		low = b
	}
	span, sum := high-low, high+low
	if !(span > 0 && span <= math.MaxFloat32) {
		return greyHSL(r, g, b)
	}
	switch high {
	case r:
		h = float32(60 * ((g - b) / span))
	case g:
		h = float32(60*((b-r)/span)) + 120
	default:
		h = float32(60*((r-g)/span)) + 240
	}
	// Twice the distance of the lightness to black or white. Each of these
	// subtractions is exact near white, where 2-sum would lose digits.
	room := sum
	if sum > 1 {
		room = (1 - high) + (1 - low)
	}
	if room > 0 {
		s = span / room
	} else {
		s, h = beyondHSL(span, room, h)
	}
	if h < 0 {
		h += 360
	}
	if !(h < 360) {
		return wholeTurn(h, s, sum)
	}
	return h, s, sum / 2
}

// greyHSL is fastHSL where R = G = B or one is not finite.
func greyHSL(r, g, b float32) (h, s, l float32) {
	if r == g && g == b && isFinite(r) {
		return NoHue, 0, r
	}
	return NoHue, 0, 0
}

// beyondHSL gives saturation and hue where lightness is not inside (0,1).
func beyondHSL(span, room, hue float32) (s, h float32) {
	if room == 0 {
		return 0, hue
	}
	return -(span / room), hue + 180
}

// wholeTurn brings a hue of 360 or more back, and stands for a colour with NaN.
func wholeTurn(h, s, sum float32) (float32, float32, float32) {
	if h >= 360 {
		return h - 360, s, sum / 2
	}
	return NoHue, 0, 0
}

// LChRow turns samples of R, G, B into hue, chroma and L* as RGB.LCh defines
// them: inside [0,1] within 0.002 for L* and chroma, and within 0.003 degrees
// where chroma is over 1. Hue is NoHue up to a chroma of Achromatic, and where
// a part is not finite; chroma and L* are 0 in the latter case. All slices have
// the length of r; outputs may be the inputs.
func LChRow(h, c, l, r, g, b []float32) {
	LabRow(l, h, c, r, g, b)
	polarRow(h[:len(r)], c[:len(r)])
}

// polarRow turns a* and b* into hue and chroma in place.
func polarRow(hue, chroma []float32) {
	chroma = chroma[:len(hue)]
	for x, a := range hue {
		b := chroma[x]
		c := float32(math.Sqrt(float64(float32(a*a) + float32(b*b))))
		chroma[x] = c
		if c > Achromatic {
			hue[x] = fastHue(a, b)
		} else {
			hue[x] = NoHue
		}
	}
}

// hueTurn brings an angle in the first half quadrant to where a* and b* are:
// hue = base + sign * angle, indexed by the signs of a* and b* and by whether
// b* is the longer.
var hueTurn = [8]struct{ base, sign float32 }{
	{0, 1}, {90, -1}, // a* > 0, b* > 0
	{360, -1}, {270, 1}, // a* > 0, b* < 0
	{180, -1}, {90, 1}, // a* < 0, b* > 0
	{180, 1}, {270, -1}, // a* < 0, b* < 0
}

// fastHue is atan2(b,a) in degrees [0,360), within 2e-4. Not both may be 0.
func fastHue(a, b float32) float32 {
	const signBit = 1 << 31
	ua, ub := math.Float32bits(a), math.Float32bits(b)
	octant := ua>>31<<2 | ub>>31<<1
	ua &^= signBit
	ub &^= signBit
	short, long := min(ua, ub), max(ua, ub) // bits of positive floats order as they do
	octant |= (ua - ub) >> 31               // whether b* is the longer, without a branch
	q := math.Float32frombits(short) / math.Float32frombits(long)
	// The odd polynomial of least largest error against atan on [0,1], by Remez
	// exchange: 9.6e-5 degrees.
	z := float32(q * q)
	p := float32(-0.6714570*z) + 3.0164710
	p = float32(p*z) - 6.6707460
	p = float32(p*z) + 11.0890467
	p = float32(p*z) - 19.0578842
	p = float32(p*z) + 57.2944743
	turn := &hueTurn[octant&7]
	hue := turn.base + float32(turn.sign*float32(p*q))
	if hue >= 360 {
		return 0
	}
	return hue
}

// labChunk is how many pixels LabRow holds in linear light at a time.
const labChunk = 256

// LabRow turns samples of R, G, B into L*, a*, b* as RGB.Lab defines them,
// within 0.001 inside [0,1]. A grey has a* = b* = 0 exactly. Where a part is
// not finite all three are 0. All slices have the length of r; outputs may be
// the inputs.
func LabRow(l, a, b, red, green, blue []float32) {
	var light [3][labChunk]float64
	for x := 0; x < len(red); x += labChunk {
		end := min(x+labChunk, len(red))
		r, g, b2 := light[0][:end-x], light[1][:end-x], light[2][:end-x]
		linearRow(r, red[x:end])
		linearRow(g, green[x:end])
		linearRow(b2, blue[x:end])
		linearLabRow(l[x:end], a[x:end], b[x:end], r, g, b2)
	}
}

// toWhite is toXYZ over the white. Its rows sum to 1, so green's share may be
// taken as what the others leave: X/Xn = G + x0 (R - G) + x2 (B - G). In that
// form a grey has X/Xn = Y/Yn = Z/Zn to the last bit.
var toWhite = [3][3]float64{
	{toXYZ[0][0] / white.X, toXYZ[0][1] / white.X, toXYZ[0][2] / white.X},
	{toXYZ[1][0] / white.Y, toXYZ[1][1] / white.Y, toXYZ[1][2] / white.Y},
	{toXYZ[2][0] / white.Z, toXYZ[2][1] / white.Z, toXYZ[2][2] / white.Z},
}

func linearLabRow(l, a, b []float32, red, green, blue []float64) {
	n := len(red)
	green, blue, l, a, b = green[:n], blue[:n], l[:n], a[:n], b[:n]
	xr, xb := toWhite[0][0], toWhite[0][2]
	yr, yb := toWhite[1][0], toWhite[1][2]
	zr, zb := toWhite[2][0], toWhite[2][2]
	for x, r := range red {
		g := green[x]
		r, bl := r-g, blue[x]-g
		tx := g + float64(xr*r) + float64(xb*bl)
		ty := g + float64(yr*r) + float64(yb*bl)
		tz := g + float64(zr*r) + float64(zb*bl)
		var fx, fy, fz float64
		if inLabArcs(tx) && inLabArcs(ty) && inLabArcs(tz) {
			fx, fy, fz = labArc(tx), labArc(ty), labArc(tz)
		} else if fx, fy, fz = anyLabArc(tx), anyLabArc(ty), anyLabArc(tz); !finiteLab(fx, fy, fz) {
			l[x], a[x], b[x] = 0, 0, 0
			continue
		}
		l[x], a[x], b[x] = float32(float64(116*fy)-16), float32(500*(fx-fy)), float32(200*(fy-fz))
	}
}

// finiteLab reports whether a* and b* of such arcs are numbers.
func finiteLab(fx, fy, fz float64) bool {
	return isFinite(float32(500*(fx-fy)) + float32(200*(fy-fz)))
}
