package render

import (
	"context"

	"halocline/colour"
	"halocline/selection"
)

// Reasons returns for each pixel that is asked for, row by row, what keeps it
// out of a matte: where the matte is under 0.5, the masks if they are, or the edge that was
// found for them where they are not as drawn; else, if the pick times the masks was not, a
// joined matte where that takes away what the treated pick has, or the edge treatment; else the
// channel of the smallest weight.
func (r *Renderer) Reasons(ctx context.Context, q Request) ([]selection.Reason, error) {
	p, err := r.part(ctx, q)
	if err != nil {
		return nil, err
	}
	s, err := p.sifter(ctx) // before the matte, which would make a part of what this needs whole
	if err != nil {
		return nil, err
	}
	matte, err := r.Matte(ctx, q)
	if err != nil {
		return nil, err
	}
	if err := s.join(ctx, p); err != nil {
		return nil, err
	}
	w, h := matte.W, matte.H
	out := make([]selection.Reason, w*h)
	err = colour.EachBand(ctx, r.workers, h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			s.row(out[y*w:(y+1)*w], matte.Row(y), p.want.Min.X-p.work.Min.X, p.want.Min.Y-p.work.Min.Y+y)
		}
	})
	return out, err
}

// A sifter tells reasons apart. All its planes have the size of what is worked on.
type sifter struct {
	by     selection.Pick
	src    *colour.Image // what the pick reads
	pick   *colour.Plane
	masks  *colour.Plane      // nil for none
	drawn  *colour.Plane      // the masks as their outlines are drawn; nil where no edge is searched for
	reject []selection.Reason // what keeps pixels out of the pick

	// The masked pick before and after other mattes are taken in; nil where none is.
	alone, joined *colour.Plane
}

// join takes what tells of joined mattes.
func (s *sifter) join(ctx context.Context, p *part) (err error) {
	if len(p.at.Joined) == 0 {
		return nil
	}
	onPick, _ := p.stages()
	if s.alone, err = p.masked(ctx, onPick); err != nil {
		return err
	}
	s.joined, err = p.joined(ctx, onPick)
	return err
}

// takenAway reports whether a joined matte takes away a pixel that the treated pick has.
func (s *sifter) takenAway(x, y int) bool {
	return s.joined != nil && s.alone.At(x, y) >= 0.5 && s.joined.At(x, y) < 0.5
}

func (p *part) sifter(ctx context.Context) (s sifter, err error) {
	s.by = p.at.Pick
	if s.src, err = p.based(ctx, p.at.Smooth); err != nil {
		return s, err
	}
	if s.pick, err = p.pick(ctx); err != nil {
		return s, err
	}
	if s.masks, err = p.masks(ctx); err != nil {
		return s, err
	}
	if searches(p.at.Masks) {
		if s.drawn, err = p.drawn(ctx, asDrawn(p.at.Masks)); err != nil {
			return s, err
		}
	}
	s.reject, err = stage(p.Renderer, Reject, p.pickKey(), func() ([]selection.Reason, int, error) {
		w := p.weighers.take(p.at.Pick)
		defer p.weighers.give(w)
		all, err := w.Reasons(ctx, nil, s.src, p.workers)
		return all, len(all), err
	})
	return s, err
}

// byMasks is what keeps a pixel out that the masks do not have.
func (s *sifter) byMasks(x, y int) selection.Reason {
	if s.drawn != nil && s.drawn.At(x, y) >= 0.5 {
		return selection.ByFound
	}
	return selection.ByMask
}

// row fills the reasons for a row of a matte, which begins at (x0,y) of what is
// worked on.
func (s *sifter) row(out []selection.Reason, matte []float32, x0, y int) {
	pick := s.pick.Row(y)[x0:]
	reject := s.reject[y*s.pick.W+x0:]
	var masks []float32
	if s.masks != nil {
		masks = s.masks.Row(y)[x0:]
	}
	for x, alpha := range matte {
		m := float32(1)
		if masks != nil {
			m = masks[x]
		}
		switch {
		case alpha >= 0.5:
			out[x] = selection.In
		case m < 0.5:
			out[x] = s.byMasks(x0+x, y)
		case pick[x]*m >= 0.5 && s.takenAway(x0+x, y):
			out[x] = selection.ByJoin
		case pick[x]*m >= 0.5:
			out[x] = selection.ByEdge
		case reject[x] != selection.In:
			out[x] = reject[x]
		default: // neither alone: the channel takes part in it
			out[x] = s.by.Weakest(s.by.At(s.src.RGB(x0+x, y)))
		}
	}
}

// Shares says how much of a frame each reason takes, indexed by
// selection.Reason; they sum to 1, or to 0 where there is no pixel.
type Shares [selection.ReasonCount]float64

// SharesOf counts reasons.
func SharesOf(reasons []selection.Reason) (s Shares) {
	var n [len(s)]int
	for _, r := range reasons {
		n[r]++
	}
	for i := range s {
		s[i] = float64(n[i]) / float64(max(len(reasons), 1))
	}
	return s
}
