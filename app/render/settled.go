package render

import (
	"context"
	"fmt"

	"halocline/app/motion"
	"halocline/app/settle"
	"halocline/colour"
)

// settled returns the matte after it took the mean with those of the frames beside it,
// bounded by what the drop masks leave.
func (p *part) settled(ctx context.Context) (*colour.Plane, error) {
	drops := p.drops()
	stage := Settle
	if len(drops) > 0 {
		stage = Bound
	}
	return planeStage(p.Renderer, stage, p.finalKey(), func(dst *colour.Plane) error {
		own, err := p.unsettled(ctx)
		if err != nil {
			return err
		}
		sides, err := p.sides(ctx)
		if err != nil {
			return err
		}
		if err := settle.Mean(ctx, dst, p.showing(own), sides, p.at.Settle.Share, p.workers); err != nil || len(drops) == 0 {
			return err
		}
		p.count(Settle)
		left, err := p.drawn(ctx, drops)
		if err != nil {
			return err
		}
		return least(ctx, dst, left, p.workers)
	})
}

// unsettled returns the matte as it goes into the mean: after all other stages, before drop
// masks bound it. Those of the frames beside are kept from frame to frame: see Forget.
func (p *part) unsettled(ctx context.Context) (*colour.Plane, error) {
	onPick, onWhole := p.stages()
	return stage(p.Renderer, Unsettled, p.wholeKey(onPick, onWhole), func() (*colour.Plane, int, error) {
		m, err := p.treated(ctx, onPick, onWhole)
		if err != nil {
			return nil, 0, err
		}
		return m, 4 * len(m.Pix), nil
	})
}

// settleKey is what a settled matte depends on beside its own frame.
func (p *part) settleKey() string {
	if p.at.Settle == nil {
		return ""
	}
	before, after := p.beside(-1), p.beside(1)
	return fmt.Sprintf(" settled %v with (%s) and (%s)", p.at.Settle.Share, before.wholeKey(before.stages()), after.wholeKey(after.stages()))
}

// beside is the same part on the frame before or after, step -1 or 1, that it settles with.
func (p *part) beside(step int) *part {
	q := p.on(p.frame + step)
	q.at, q.need = p.at.Settle.Beside(step), nil
	q.want = q.work
	return q
}

// sides are the frames that the matte settles with: those there are, but for those beyond a
// cut and those of another size.
func (p *part) sides(ctx context.Context) (sides []settle.Side, err error) {
	for _, step := range []int{-1, 1} {
		q := p.beside(step)
		if !p.isThere(q.frame) {
			continue
		}
		size, err := p.Renderer.size(ctx, q.place)
		if err != nil {
			return nil, fmt.Errorf("render: frame %d settles with frame %d: %w", p.frame, q.frame, err)
		}
		if size != p.size {
			continue
		}
		cut, err := p.isCut(ctx, min(p.frame, q.frame))
		if err != nil {
			return nil, err
		}
		if cut {
			continue
		}
		side, err := p.side(ctx, q)
		if err != nil {
			return nil, err
		}
		sides = append(sides, side)
	}
	return sides, nil
}

// side is the frame beside that q is made on, as far as the motion takes from it.
func (p *part) side(ctx context.Context, q *part) (s settle.Side, err error) {
	if s.To, err = p.flow(ctx, p.frame, q.frame); err != nil {
		return s, err
	}
	if s.Back, err = p.flow(ctx, q.frame, p.frame); err != nil {
		return s, err
	}
	if !p.isWhole() {
		if q.want, err = settle.Reach(ctx, p.work, p.whole(), p.factor, s.To, p.workers); err != nil {
			return s, err
		}
		q.work = q.around(q.want)
	}
	matte, err := q.unsettled(ctx)
	if err != nil {
		return s, err
	}
	s.Matte = q.showing(matte)
	return s, nil
}

// isCut reports whether there is a cut from a frame to the next.
func (p *part) isCut(ctx context.Context, frame int) (bool, error) {
	return p.isCutBetween(ctx, frame, frame+1)
}

// isCutBetween reports whether there is a cut between two frames, the earlier first.
func (p *part) isCutBetween(ctx context.Context, frame, next int) (bool, error) {
	key := fmt.Sprintf("cut from %s to %d", p.on(frame).sourceKey(), next)
	return stage(p.Renderer, FindFlow, key, func() (bool, int, error) {
		first, err := p.luma(ctx, frame)
		if err != nil {
			return false, 0, err
		}
		second, err := p.luma(ctx, next)
		if err != nil {
			return false, 0, err
		}
		to, err := p.flow(ctx, frame, next)
		if err != nil {
			return false, 0, err
		}
		back, err := p.flow(ctx, next, frame)
		if err != nil {
			return false, 0, err
		}
		return settle.IsCut(first, second, to, back), len(key), nil
	})
}

// isThere reports whether there is a frame: as the source tells, or else as the study does.
func (p *part) isThere(frame int) bool {
	if s, ok := p.source.(HoldingSource); ok {
		return s.Has(frame)
	}
	c := &p.study.Clip
	return frame >= c.First && frame < c.First+c.Count
}

// showing tells which part of the frame a plane of what is worked on shows.
func (p *part) showing(m *colour.Plane) motion.Part {
	return motion.Part{Plane: *m, Min: p.work.Min, Step: p.factor}
}
