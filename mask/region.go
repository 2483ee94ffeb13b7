package mask

import "fmt"

// A Region is the part of a picture to draw, in source pixels, and how much
// smaller: one pixel drawn covers Factor x Factor of the source's, the first
// those from (X0,Y0) on. Where Factor does not divide the size, the last
// column and row reach beyond X1 and Y1.
type Region struct {
	X0, Y0, X1, Y1 int
	Factor         int // 1 or more
}

// Whole returns the region of a picture of w x h pixels, drawn at full size.
func Whole(w, h int) Region { return Region{0, 0, w, h, 1} }

// Size returns the size of what is drawn.
func (r Region) Size() (w, h int) {
	return (r.X1 - r.X0 + r.Factor - 1) / r.Factor, (r.Y1 - r.Y0 + r.Factor - 1) / r.Factor
}

// Limits of a region: with them every sum of areas fits an int64.
const (
	maxSide   = 1 << 20
	maxFactor = 1 << 10
)

func (r Region) check() error {
	if r.Factor < 1 || r.Factor > maxFactor {
		return fmt.Errorf("mask: proxy factor is %d, want 1 to %d", r.Factor, maxFactor)
	}
	inside := func(v int) bool { return v >= -maxPlace && v <= maxPlace }
	if !inside(r.X0) || !inside(r.Y0) || r.X1 < r.X0 || r.Y1 < r.Y0 || r.X1-r.X0 > maxSide || r.Y1-r.Y0 > maxSide {
		return fmt.Errorf("mask: region is [%d,%d) x [%d,%d), want rising bounds, at most %d apart", r.X0, r.X1, r.Y0, r.Y1, maxSide)
	}
	return nil
}

// origin is the grid point of the region's corner.
func (r Region) origin() spot { return spot{int64(r.X0) * unit, int64(r.Y0) * unit} }
