package render

import (
	"context"

	"halocline/app/motion"
	"halocline/colour"
)

// CarriedFromBefore carries a plane that was rendered for q on the frame before to q's frame,
// along the motion of the picture; not ok where that frame has another size or lies beyond a
// cut. Outside of the part that is asked for its border counts.
func (r *Renderer) CarriedFromBefore(ctx context.Context, q Request, before colour.Plane) (out colour.Plane, ok bool, err error) {
	p, err := r.part(ctx, q)
	if err != nil {
		return out, false, err
	}
	if before.W != p.want.Dx() || before.H != p.want.Dy() {
		panic("render: the plane must have the size of what is asked for")
	}
	size, err := r.size(ctx, p.on(p.frame-1).place)
	if err != nil || size != p.size {
		return out, false, err
	}
	if cut, err := p.isCut(ctx, p.frame-1); err != nil || cut {
		return out, false, err
	}
	flow, err := p.flow(ctx, p.frame, p.frame-1)
	if err != nil {
		return out, false, err
	}
	from := motion.Part{Plane: before, Min: p.want.Min, Step: p.factor}
	out = colour.NewPlane(before.W, before.H)
	return out, true, from.Carry(ctx, flow, out, p.workers)
}
