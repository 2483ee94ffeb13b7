package edge

import (
	"context"
	"math"

	"halocline/colour"
	"halocline/mask"
)

// Heeds reports whether a dab about a place, in pixels of a picture of so many lines, has a
// say in the search: it lies inside the outline, or no further outside than a tight one is
// searched.
func Heeds(ctx context.Context, s mask.Shape, how mask.Search, at mask.Point, lines int) (bool, error) {
	s.Inner, s.Outer, s.Opacity = 0, 0, 1
	least := float32(0.5)
	if how.Tight {
		s.Outer, least = tightReach*Unit(lines), math.SmallestNonzeroFloat32
	}
	x, y := whole(at.X), whole(at.Y)
	var cover colour.Plane
	if err := s.Draw(ctx, &cover, mask.Region{X0: x, Y0: y, X1: x + 1, Y1: y + 1, Factor: 1}, 1); err != nil {
		return false, err
	}
	return cover.At(0, 0) >= least, nil
}
