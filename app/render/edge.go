package render

import (
	"context"
	"fmt"
	"math"

	"halocline/colour"
	"halocline/selection"
)

// An edgeStage is one stage of an edge treatment: what it depends on, and how it is
// done with a treatment's buffers.
type edgeStage struct {
	stage Stage
	key   string
	run   func(t *selection.Treatment, dst, src, takesPart *colour.Plane) error
}

// edge returns the edge treatment in pixels of the proxy.
func (p *part) edge() selection.Edge {
	e := p.at.Edge.Scaled(float64(p.factor))
	if p.factor > 1 {
		e.Soften = spread(e.Soften)
	}
	return e
}

// spread returns the sigma at which a Gaussian read at whole pixels alone is as
// wide as one of sigma. Under a pixel it loses most of its width: at 0.3 it would
// be 0.09. That is what the softness of a full-size matte becomes on a proxy,
// where it would be gone.
func spread(sigma float64) float64 {
	if sigma <= 0 || sigma >= 1 {
		return sigma
	}
	low, high := sigma, 1.0
	for range 40 {
		middle := (low + high) / 2
		if sampledWidth(middle) < sigma {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// sampledWidth is the standard deviation of a Gaussian's weights at whole pixels.
func sampledWidth(sigma float64) float64 {
	sum, square := 1., 0.
	for d := 1.; d <= 4; d++ {
		w := 2 * math.Exp(-d*d/(2*sigma*sigma))
		sum += w
		square += w * d * d
	}
	return math.Sqrt(square / sum)
}

// edgeStages returns those of the edge treatment that change something, in their
// order. Lengths are in pixels of the proxy.
func (p *part) edgeStages(ctx context.Context) (all []edgeStage) {
	e := p.edge()
	add := func(on bool, s Stage, key string, run func(t *selection.Treatment, dst, src, takesPart *colour.Plane) error) {
		if on {
			all = append(all, edgeStage{s, fmt.Sprintf(" %s %s", s, key), run})
		}
	}
	add(e.Despeckle > 0, Despeckle, fmt.Sprint(e.Despeckle), func(t *selection.Treatment, dst, src, takesPart *colour.Plane) error {
		return t.Despeckle(ctx, dst, src, takesPart, e.Despeckle, p.workers)
	})
	add(e.Align > 0, Align, fmt.Sprint(e.Align, p.basedKey(true)), func(t *selection.Treatment, dst, src, takesPart *colour.Plane) error {
		guide, err := p.based(ctx, true)
		if err != nil {
			return err
		}
		return t.Align(ctx, dst, src, guide, takesPart, e.Align, p.workers)
	})
	add(e.Harden != 0 || e.About != 0.5, Harden, fmt.Sprint(e.Harden, e.About), func(t *selection.Treatment, dst, src, _ *colour.Plane) error {
		return t.Harden(ctx, dst, src, e.Harden, e.About, p.workers)
	})
	add(e.Grow != 0, Grow, fmt.Sprint(e.Grow), func(t *selection.Treatment, dst, src, takesPart *colour.Plane) error {
		return t.Grow(ctx, dst, src, takesPart, e.Grow, p.workers)
	})
	add(e.Soften > 0, Soften, fmt.Sprint(e.Soften), func(t *selection.Treatment, dst, src, takesPart *colour.Plane) error {
		return t.Soften(ctx, dst, src, takesPart, e.Soften, p.workers)
	})
	return all
}

// after returns the pick after some stages. Each is kept, so that a change of one
// runs that and those behind it alone.
func (p *part) after(ctx context.Context, stages []edgeStage) (*colour.Plane, error) {
	if len(stages) == 0 {
		return p.pick(ctx)
	}
	return planeStage(p.Renderer, stages[len(stages)-1].stage, p.afterKey(stages), func(dst *colour.Plane) error {
		return p.run(ctx, dst, stages)
	})
}

// run does the last of one or more stages.
func (p *part) run(ctx context.Context, dst *colour.Plane, stages []edgeStage) error {
	last := len(stages) - 1
	src, err := p.after(ctx, stages[:last])
	if err != nil {
		return err
	}
	takesPart, err := p.masks(ctx)
	if err != nil {
		return err
	}
	t := p.treatments.Get().(*selection.Treatment)
	defer p.treatments.Put(t)
	return stages[last].run(t, dst, src, takesPart)
}

func (p *part) afterKey(stages []edgeStage) string {
	key := p.pickKey()
	if len(p.at.Masks) > 0 {
		key += " " + p.maskKey()
	}
	for _, s := range stages {
		key += s.key
	}
	return key
}
