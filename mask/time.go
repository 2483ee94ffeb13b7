package mask

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// Way is how a value travels from one key to the next.
type Way int

const (
	Straight Way = iota // at constant speed
	Step                // stays until the next key
	Curved              // along a monotone cubic through all keys
	Follow              // with the picture's motion: a mask's outline alone; its numbers go straight
)

var wayNames = [...]string{Straight: "straight", Step: "step", Curved: "curved", Follow: "follow"}

// String returns the way's name in files.
func (w Way) String() string {
	if w < 0 || int(w) >= len(wayNames) {
		return fmt.Sprintf("Way(%d)", int(w))
	}
	return wayNames[w]
}

// ParseWay is the inverse of String.
func ParseWay(s string) (Way, error) {
	if i := slices.Index(wayNames[:], s); i >= 0 {
		return Way(i), nil
	}
	return 0, fmt.Errorf("mask: way is %q, want straight, step, curved or follow", s)
}

// Valid reports whether it is one of the ways.
func (w Way) Valid() bool { return w >= 0 && int(w) < len(wayNames) }

// OfNumbers reports whether a number can go this way: it cannot follow the picture.
func (w Way) OfNumbers() bool { return w.Valid() && w != Follow }

// A Curve is one number over time: the values Y at the times X, which rise
// strictly, and Ways[k] from key k to key k+1 (the last way leads nowhere).
// The three have one length of at least 1. Values are finite.
//
// Before the first key the first value counts, after the last the last. Between
// two keys no way leaves the interval of their values.
type Curve struct {
	X, Y []float64
	Ways []Way
}

// At returns the value at time x. At a key it is the key's, to the bit.
func (c Curve) At(x float64) float64 {
	if len(c.X) == 0 || len(c.Y) != len(c.X) || len(c.Ways) != len(c.X) {
		panic("mask: a curve needs keys, and as many values and ways as times")
	}
	next := sort.SearchFloat64s(c.X, x)
	switch {
	case next == len(c.X):
		return c.Y[next-1]
	case next == 0 || c.X[next] == x:
		return c.Y[next]
	}
	return c.between(next-1, x)
}

// between returns the value at x, which lies between keys k and k+1.
func (c Curve) between(k int, x float64) float64 {
	y0, y1 := c.Y[k], c.Y[k+1]
	u := (x - c.X[k]) / (c.X[k+1] - c.X[k])
	var y float64
	switch c.Ways[k] {
	case Step:
		return y0
	case Curved:
		h := c.X[k+1] - c.X[k]
		y = hermite(u, y0, float64(h*c.Slope(k)), y1, float64(h*c.Slope(k+1)))
	default:
		y = straight(u, y0, y1)
	}
	return min(max(y, min(y0, y1)), max(y0, y1)) // rounding may leave the interval, by a hair
}

// hermite returns the cubic that starts at y0 with slope d0 and ends, at u = 1,
// at y1 with slope d1.
func hermite(u, y0, d0, y1, d1 float64) float64 {
	v := 1 - u
	from := float64(float64(v*v)*(1+2*u)*y0) + float64(u*float64(v*v)*d0)
	to := float64(float64(u*u)*(3-2*u)*y1) - float64(float64(u*u)*v*d1)
	return from + to
}

// Slope returns the slope of the monotone cubic at key k. Within, it is the
// weighted harmonic mean of the slopes on both sides, and 0 where they differ
// in sign (F. N. Fritsch and J. Butland 1984, "A Method for Constructing Local
// Monotone Piecewise Cubic Interpolants", SIAM J. Sci. Stat. Comput. 5(2)); at
// the ends the one-sided three-point formula, kept within monotone bounds.
func (c Curve) Slope(k int) float64 {
	last := len(c.X) - 1
	switch {
	case last == 0:
		return 0
	case last == 1:
		return c.secant(0)
	case k == 0:
		return endSlope(c.width(0), c.width(1), c.secant(0), c.secant(1))
	case k == last:
		return endSlope(c.width(last-1), c.width(last-2), c.secant(last-1), c.secant(last-2))
	}
	before, after := c.secant(k-1), c.secant(k)
	if !sameSign(before, after) {
		return 0
	}
	wb := float64(2*c.width(k)) + c.width(k-1)
	wa := float64(2*c.width(k-1)) + c.width(k)
	return (wb + wa) / (wb/before + wa/after)
}

func (c Curve) width(k int) float64  { return c.X[k+1] - c.X[k] }
func (c Curve) secant(k int) float64 { return (c.Y[k+1] - c.Y[k]) / c.width(k) }

// endSlope is the three-point slope at an end, from the widths and secants of
// the nearest interval and of the one behind it.
func endSlope(near, far, dNear, dFar float64) float64 {
	d := (float64((float64(2*near)+far)*dNear) - float64(near*dFar)) / (near + far)
	switch {
	case !sameSign(d, dNear):
		return 0
	case !sameSign(dNear, dFar) && math.Abs(d) > 3*math.Abs(dNear):
		return 3 * dNear
	}
	return d
}

// sameSign reports whether a and b are both above or both below 0.
func sameSign(a, b float64) bool {
	return a > 0 && b > 0 || a < 0 && b < 0
}
