package selection

import (
	"context"

	"halocline/colour"
)

// harden writes clamp(0.5 + (alpha - e.About) / (1 - e.Harden)) to dst.
func harden(ctx context.Context, dst, src *colour.Plane, e Edge, workers int) error {
	mustDiffer(dst, src)
	dst.Reshape(src.W, src.H)
	slope, about := float32(1/(1-e.Harden)), float32(e.About)
	return colour.EachBand(ctx, workers, src.H, func(y0, y1 int) {
		from, to := src.Pix[y0*src.W:y1*src.W], dst.Pix[y0*src.W:y1*src.W]
		for i, v := range from {
			to[i] = colour.Clamped(0.5 + float32(slope*(colour.Clamped(v)-about)))
		}
	})
}
