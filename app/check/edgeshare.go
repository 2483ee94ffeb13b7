package check

import (
	"context"
	"fmt"

	"halocline/colour"
)

// wholeMask is the weight of masks from which they take no part in an edge: below it they
// fade, or have ended.
const wholeMask = 0.99

// MaskedEdge returns which share of a matte's edge, by the length of its contour at one
// half, lies where the masks' weight is not whole: there they end the matte, elsewhere the
// pick does. ok is false where the matte has no edge. Planes of different size are an error;
// another is ctx's.
func MaskedEdge(ctx context.Context, matte, masks colour.Plane) (share float64, ok bool, err error) {
	if matte.W != masks.W || matte.H != masks.H {
		return 0, false, fmt.Errorf("check: the matte is %d x %d, its masks %d x %d", matte.W, matte.H, masks.W, masks.H)
	}
	a := Clamped(matte)
	var all, masked float64
	for y := range a.H - 1 {
		if err := ctx.Err(); err != nil {
			return 0, false, err
		}
		upper, lower := masks.Row(y), masks.Row(y+1)
		colour.ContourRow(a, y, func(_ int, s colour.Segment) {
			x := min(max(int((s.X0+s.X1)/2-0.5), 0), a.W-2) // the cell's left pixel
			length := s.Length()
			all += length
			if min(upper[x], upper[x+1], lower[x], lower[x+1]) < wholeMask {
				masked += length
			}
		})
	}
	if all == 0 {
		return 0, false, nil
	}
	return masked / all, true, nil
}
