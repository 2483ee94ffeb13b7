package shot

import (
	"context"

	"halocline/app/render"
	"halocline/colour"
	"halocline/mask"
)

// coreDepth is how many times as wide as the depth of the core a frame is: deeper inside a
// keep mask neither its edge nor a lens's blur has a say.
const coreDepth = 96

// core returns the mean alpha deep inside the keep masks, nil where they have no such place.
// What the shot takes in does not count: it is about what the shot's own pick leaves of its
// masks.
func (p *pass) core(ctx context.Context, r *render.Renderer, now *moment, layers []mask.Layer) (*float64, error) {
	var deep colour.Plane
	if err := mask.Compose(ctx, &deep, cores(layers, float64(now.size.X)/coreDepth), now.region(), 1); err != nil {
		return nil, err
	}
	matte := now.matte
	if len(p.Settings.Joins) > 0 {
		own := *p.Settings
		own.Joins = nil
		q := now.request
		q.Settings = &own
		var err error
		if matte, err = r.Matte(ctx, q); err != nil {
			return nil, err
		}
	}
	return meanWhere(matte, deep, func(w float32) bool { return w == 1 }), nil
}

// cores returns masks that weigh 1 where one that keeps is deeper than so many pixels and none
// that drops reaches; nothing where none keeps.
func cores(layers []mask.Layer, depth float64) []mask.Layer {
	out := []mask.Layer{{Off: true}} // all that is not in a keep mask is left out
	for _, l := range layers {
		if l.Opacity > 0 {
			l.Opacity = 1
		}
		if !l.Drop {
			l.Inner, l.Outer = depth, 0
		}
		out = append(out, l)
	}
	return out
}
