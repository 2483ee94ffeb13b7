package mask

import (
	"context"
	"math"

	"halocline/colour"
)

// Depths writes how deep each pixel of a region lies inside a shape: the signed distance of
// its centre to the edge of what the shape fills, in pixels of the source, above 0 inside.
// Beyond reach on both sides it is reach. The shape's feather and opacity do not count.
// Errors as for Draw.
func (s Shape) Depths(ctx context.Context, dst *colour.Plane, region Region, reach float64, workers int) error {
	s.Inner, s.Outer, s.Opacity = reach, reach, 1
	if err := s.Draw(ctx, dst, region, workers); err != nil {
		return err
	}
	return colour.EachBand(ctx, workers, dst.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := dst.Row(y)
			for x, w := range row {
				row[x] = float32(reach * (2*smoothstepFrom(float64(w)) - 1))
			}
		}
	})
}

// smoothstepFrom is the inverse of 3u^2 - 2u^3 on [0,1].
func smoothstepFrom(v float64) float64 {
	switch {
	case v <= 0:
		return 0
	case v >= 1:
		return 1
	}
	return 0.5 - math.Sin(math.Asin(1-2*v)/3)
}
