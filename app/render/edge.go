package render

import (
	"context"
	"fmt"
	"math"
	"slices"

	"halocline/colour"
	"halocline/selection"
)

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

// stages returns those stages of the edge that change something: first those that treat
// the pick, then those that treat the masked matte.
func (p *part) stages() (onPick, onWhole []selection.EdgeStage) {
	all := p.edge().Stages()
	n := slices.IndexFunc(all, func(s selection.EdgeStage) bool { return !s.OnPick() })
	if n < 0 {
		n = len(all)
	}
	return all[:n:n], all[n:]
}

// after returns the pick after some stages. Each is kept, so that a change of one
// runs that and those behind it alone.
func (p *part) after(ctx context.Context, stages []selection.EdgeStage) (*colour.Plane, error) {
	if len(stages) == 0 {
		return p.pick(ctx)
	}
	return planeStage(p.Renderer, Stage(stages[len(stages)-1].Name), p.afterKey(stages), func(dst *colour.Plane) error {
		return p.treatPick(ctx, dst, stages)
	})
}

// treatPick does the last of one or more stages of the pick.
func (p *part) treatPick(ctx context.Context, dst *colour.Plane, stages []selection.EdgeStage) error {
	last := len(stages) - 1
	src, err := p.after(ctx, stages[:last])
	if err != nil {
		return err
	}
	takesPart, err := p.masks(ctx)
	if err != nil {
		return err
	}
	var guide *colour.Image
	if stages[last].ReadsGuide() {
		if guide, err = p.based(ctx, true); err != nil {
			return err
		}
	}
	return p.run(ctx, dst, src, guide, takesPart, stages[last])
}

// treated returns the masked pick, with all that is taken in, after some stages of the
// whole, each kept likewise.
func (p *part) treated(ctx context.Context, onPick, onWhole []selection.EdgeStage) (*colour.Plane, error) {
	if len(onWhole) == 0 {
		return p.joined(ctx, onPick)
	}
	return planeStage(p.Renderer, Stage(onWhole[len(onWhole)-1].Name), p.wholeKey(onPick, onWhole), func(dst *colour.Plane) error {
		return p.treatWhole(ctx, dst, onPick, onWhole)
	})
}

// treatWhole does the last of one or more stages of the whole. All pixels take part.
func (p *part) treatWhole(ctx context.Context, dst *colour.Plane, onPick, onWhole []selection.EdgeStage) error {
	last := len(onWhole) - 1
	src, err := p.treated(ctx, onPick, onWhole[:last])
	if err != nil {
		return err
	}
	return p.run(ctx, dst, src, nil, nil, onWhole[last])
}

func (p *part) run(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, takesPart *colour.Plane, s selection.EdgeStage) error {
	t := p.treatments.Get().(*selection.Treatment)
	defer p.treatments.Put(t)
	return t.Run(ctx, dst, src, guide, takesPart, s, p.workers)
}

func (p *part) afterKey(stages []selection.EdgeStage) string {
	key := p.pickKey()
	if len(p.at.Masks) > 0 {
		key += " " + p.maskKey(p.at.Masks)
	}
	return key + p.stagesKey(stages)
}

func (p *part) stagesKey(stages []selection.EdgeStage) (key string) {
	for _, s := range stages {
		key += fmt.Sprintf(" %s %v", s.Name, s.Edge)
		if s.ReadsGuide() {
			key += " to " + p.basedKey(true)
		}
	}
	return key
}
