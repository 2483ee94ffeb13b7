package mask

import (
	"fmt"
	"math"
)

// Limits of a shape. Beyond maxPlace the grid's products would not fit 128
// bits with room left; no picture comes near either.
const (
	maxPlace   = 1e9 // pixels from the origin
	maxFeather = 1e6 // pixels
)

// A Point is a place in source pixels.
type Point struct{ X, Y float64 }

// A Shape is a feathered polygon at one moment.
type Shape struct {
	Points       []Point // three or more, in either direction; the last leads to the first
	Rounded      bool    // a smooth curve through the points
	Inner, Outer float64 // feather in pixels, inward and outward of the edge
	Opacity      float64 // of the whole, in [0,1]
}

// Check returns an error where the shape cannot be drawn: fewer than three
// points, a number that is none, or one out of its range. Points on one line
// are in order; they fill nothing.
func (s Shape) Check() error {
	if err := s.fault(); err != nil {
		return fmt.Errorf("mask: %w", err)
	}
	return nil
}

// fault is Check, to be said of something.
func (s Shape) fault() error {
	if len(s.Points) < 3 {
		return fmt.Errorf("polygon has %d points, want 3 or more", len(s.Points))
	}
	for i, p := range s.Points {
		if !(math.Abs(p.X) <= maxPlace && math.Abs(p.Y) <= maxPlace) { // NaN fails
			return fmt.Errorf("point %d is (%v, %v), want coordinates within %.0f pixels of 0", i+1, p.X, p.Y, maxPlace)
		}
	}
	for _, n := range []struct {
		name  string
		value float64
		most  float64
	}{{"feather inward", s.Inner, maxFeather}, {"feather outward", s.Outer, maxFeather}, {"opacity", s.Opacity, 1}} {
		if !(n.value >= 0 && n.value <= n.most) {
			return fmt.Errorf("%s is %v, want 0 to %v", n.name, n.value, n.most)
		}
	}
	return nil
}

// Bounds returns the corners of a rectangle outside of which the shape's
// weight is 0. The shape must pass Check.
func (s Shape) Bounds() (low, high Point) {
	low, high = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, p := range s.outline() {
		x, y := float64(p.x)/unit, float64(p.y)/unit
		low = Point{min(low.X, x), min(low.Y, y)}
		high = Point{max(high.X, x), max(high.Y, y)}
	}
	margin := s.Outer + 1 // the pixel that an edge runs through
	return Point{low.X - margin, low.Y - margin}, Point{high.X + margin, high.Y + margin}
}
