package render

import (
	"context"
	"fmt"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// other is the part of a matte that is taken in: all of what is worked on.
func (p *part) other(at study.SettingsAt) *part {
	o := *p
	o.at, o.need = at, nil
	o.want = o.work
	return &o
}

// reach is how far around a pixel its matte reads, in pixels of the proxy: by its own edge
// treatment, and by that of what it takes in.
func (p *part) reach() int {
	far := 0
	for _, j := range p.at.Joined {
		far = max(far, p.other(j.Settings).reach())
	}
	return p.edge().Reach(1) + far
}

// joined returns the masked pick with the final mattes of all that is taken in.
func (p *part) joined(ctx context.Context, onPick []selection.EdgeStage) (*colour.Plane, error) {
	if len(p.at.Joined) == 0 {
		return p.masked(ctx, onPick)
	}
	return planeStage(p.Renderer, Joined, p.wholeKey(onPick, nil), func(dst *colour.Plane) error {
		own, err := p.masked(ctx, onPick)
		if err != nil {
			return err
		}
		for i, j := range p.at.Joined {
			other, err := p.other(j.Settings).matte(ctx)
			if err != nil {
				return err
			}
			src := own
			if i > 0 {
				src = dst
			}
			if err := combine(ctx, dst, src, other, j.How, p.workers); err != nil {
				return err
			}
		}
		return nil
	})
}

// combine makes dst, which may be a, what two mattes make together.
func combine(ctx context.Context, dst, a, b *colour.Plane, how study.How, workers int) error {
	if how == study.Within {
		return times(ctx, dst, a, b, workers)
	}
	dst.Reshape(a.W, a.H)
	return colour.EachBand(ctx, workers, dst.H, func(y0, y1 int) {
		from, to := y0*dst.W, y1*dst.W
		out, a, b := dst.Pix[from:to], a.Pix[from:to], b.Pix[from:to]
		switch how {
		case study.Add:
			for i, v := range a {
				out[i] = max(v, b[i])
			}
		case study.Touching:
			for i, v := range a {
				out[i] = min(v+b[i], 1)
			}
		case study.TakeAway:
			for i, v := range a {
				out[i] = v * (1 - b[i])
			}
		}
	})
}

// wholeKey is the key of what is made of the masked pick: with all that is taken in, and
// after some stages of the whole, before it settles.
func (p *part) wholeKey(onPick, onWhole []selection.EdgeStage) string {
	key := p.afterKey(onPick)
	for _, j := range p.at.Joined {
		key += fmt.Sprintf(" %s (%s)", j.How, p.other(j.Settings).finalKey())
	}
	return key + p.stagesKey(onWhole)
}

// finalKey is the key of the matte, but for its stage.
func (p *part) finalKey() string { return p.wholeKey(p.stages()) + p.settleKey() }
