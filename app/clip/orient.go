package clip

import (
	"context"
	"slices"

	"halocline/colour"
)

// The eight orientations of EXIF (CIPA DC-008, tag 274) and TIFF 6.0 by what
// they do to a stored picture on its way to the screen: exchange rows and
// columns first, then mirror.
var orientations = [9]struct{ turned, mirrorX, mirrorY bool }{
	1: {},
	2: {mirrorX: true},
	3: {mirrorX: true, mirrorY: true},
	4: {mirrorY: true},
	5: {turned: true},
	6: {turned: true, mirrorX: true},
	7: {turned: true, mirrorX: true, mirrorY: true},
	8: {turned: true, mirrorY: true},
}

// turned reports whether an orientation exchanges width and height.
func turned(orientation int) bool { return orientations[orientation].turned }

// orient returns p the way up it is displayed; orientation is 1 to 8. The
// result is p itself for 1, else a plane of its own.
func orient(ctx context.Context, p colour.Plane, orientation int) (colour.Plane, error) {
	o := orientations[orientation]
	if orientation == 1 {
		return p, nil
	}
	out := colour.NewPlane(p.W, p.H)
	if o.turned {
		out.W, out.H = p.H, p.W
	}
	err := colour.EachBand(ctx, 0, out.H, func(y0, y1 int) {
		if o.turned {
			turnRows(out, p, y0, y1, o.mirrorY)
		}
		for y := y0; y < y1; y++ {
			if !o.turned {
				copy(out.Row(y), p.Row(mirrored(y, p.H, o.mirrorY)))
			}
			if o.mirrorX {
				slices.Reverse(out.Row(y))
			}
		}
	})
	return out, err
}

func mirrored(i, n int, mirror bool) int {
	if mirror {
		return n - 1 - i
	}
	return i
}

// turnRows writes columns of p as rows [y0,y1) of out. It walks down p, where
// the columns of a band share cache lines.
func turnRows(out, p colour.Plane, y0, y1 int, mirrorY bool) {
	for x := range p.H {
		row := p.Row(x)
		for y := y0; y < y1; y++ {
			out.Pix[y*out.W+x] = row[mirrored(y, out.H, mirrorY)]
		}
	}
}
