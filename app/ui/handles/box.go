package handles

import (
	"math"

	"halocline/app/ink"
	"halocline/mask"
)

// A box is the smallest upright one about an outline, in source pixels. It is
// drawn with a margin.
type box struct{ low, high mask.Point }

func (h *Handles) boxAround(outline []mask.Point) box {
	b := box{outline[0], outline[0]}
	for _, p := range outline {
		b.low = mask.Point{X: min(b.low.X, p.X), Y: min(b.low.Y, p.Y)}
		b.high = mask.Point{X: max(b.high.X, p.X), Y: max(b.high.Y, p.Y)}
	}
	return b
}

func (b box) centre() mask.Point {
	return mask.Point{X: (b.low.X + b.high.X) / 2, Y: (b.low.Y + b.high.Y) / 2}
}

// across returns the way from one corner to the opposite one, and where it
// begins.
func (b box) across(corner int) (from, way mask.Point) {
	from, way = b.low, mask.Point{X: b.high.X - b.low.X, Y: b.high.Y - b.low.Y}
	if corner == 1 || corner == 2 {
		from.X, way.X = b.high.X, -way.X
	}
	if corner >= 2 {
		from.Y, way.Y = b.high.Y, -way.Y
	}
	return from, way
}

// frame is the box as it is drawn, on the screen.
func (h *Handles) frame() ink.Rect {
	low, high := h.screen(h.box.low), h.screen(h.box.high)
	m := boxMargin * h.scale
	return ink.Rect{X0: low.X - m, Y0: low.Y - m, X1: high.X + m, Y1: high.Y + m}
}

// corners are the frame's, clockwise from the upper left.
func (h *Handles) corners() []ink.Pt {
	f := h.frame()
	return []ink.Pt{{X: f.X0, Y: f.Y0}, {X: f.X1, Y: f.Y0}, {X: f.X1, Y: f.Y1}, {X: f.X0, Y: f.Y1}}
}

// turnAt is the middle of the arc: above the box, or below where that would be
// out of the view, and beside a feather's handle that is there.
func (h *Handles) turnAt() ink.Pt {
	f, above, reach := h.frame(), turnAbove*h.scale, gripReach*h.scale
	at := ink.Pt{X: (f.X0 + f.X1) / 2, Y: f.Y0 - above}
	if below := f.Y1 + above; at.Y < reach && below < float64(h.vp.VH)-reach {
		at.Y = below
	}
	for _, k := range []PartKind{InnerFeather, OuterFeather} {
		if grip := h.featherAt(k); away(grip, at) < 2*reach {
			at.X = grip.X + math.Copysign(2*reach, at.X-grip.X)
		}
	}
	return at
}
