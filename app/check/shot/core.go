package shot

import (
	"context"
	"image"
	"slices"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// coreDepth is how many times as wide as the depth of the core a frame is: deeper inside a
// keep mask neither its edge nor a lens's blur has a say.
const coreDepth = 96

// A core is what lies deep inside the keep masks: where deep is 1. What a matte takes in does
// not count: it is about what its own pick leaves of its masks.
type core struct{ matte, deep colour.Plane }

// coreOf renders the core of a matte with its masks led to the edge, given the width of the
// whole frame.
func coreOf(ctx context.Context, r *render.Renderer, q render.Request, layers []mask.Layer, part mask.Region, width int) (c core, err error) {
	if err := mask.Compose(ctx, &c.deep, cores(layers, float64(width)/coreDepth), part, 1); err != nil {
		return c, err
	}
	if len(q.Settings.Joins) > 0 {
		own := *q.Settings
		own.Joins = nil
		q.Settings = &own
	}
	c.matte, err = r.Matte(ctx, q)
	return c, err
}

// mean returns the core's mean alpha, nil where there is no such place.
func (c core) mean() *float64 {
	return meanWhere(c.matte, c.deep, func(w float32) bool { return w == 1 })
}

// BiteOf measures how a matte's own pick bites into its masks on a frame, by the samples of its
// own dabs. nil: it has no keep masks or no keep dabs there. The request's region does not count.
func BiteOf(ctx context.Context, r *render.Renderer, q render.Request, dabs []selection.Dab) (*check.Bite, error) {
	q.Region, q.Factor, q.Draft = image.Rectangle{}, 1, false
	picture, err := r.Picked(ctx, q)
	if err != nil {
		return nil, err
	}
	outlines, err := r.Outlines(ctx, q)
	if err != nil || !keeps(outlines) {
		return nil, err
	}
	w, h := picture.Size()
	c, err := coreOf(ctx, r, q, onFound(outlines), mask.Region{X1: w, Y1: h, Factor: 1}, w)
	if err != nil {
		return nil, err
	}
	return check.MeasureBite(ctx, c.matte, c.deep, picture, dabs, 0)
}

// keeps reports whether one of a matte's masks keeps what lies inside.
func keeps(outlines []render.Outline) bool {
	return slices.ContainsFunc(outlines, func(o render.Outline) bool { return !o.Layer.Drop && !o.Layer.Off })
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
