package render

import (
	"context"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// Matte returns how much of each pixel a matte holds at a frame, in [0,1]. This
// is the order of the stages:
//
//	decode -> calm -> base -> pick = matte
//
// and decode -> base is what is shown. The pick reads the calmed picture after
// base; never a trial, a look or another matte.
func (r *Renderer) Matte(ctx context.Context, s *study.Study, set *study.Settings, frame int) (colour.Plane, error) {
	return r.Pick(ctx, s, set, frame)
}

// Pick returns the colour part of a matte alone.
func (r *Renderer) Pick(ctx context.Context, s *study.Study, set *study.Settings, frame int) (colour.Plane, error) {
	pick := set.Pick.At(frame)
	codes, err := r.codes(ctx, place{s, frame}, set.Pick.Calm, pick.Model)
	if err != nil {
		return colour.Plane{}, err
	}
	var w selection.Weigher
	w.Set(pick)
	var dst colour.Plane
	err = w.Matte(ctx, &dst, codes, r.workers)
	return dst, err
}

// Shown returns a frame as it is shown: after base, its noise as it came.
func (r *Renderer) Shown(ctx context.Context, s *study.Study, frame int) (*colour.Image, error) {
	return r.based(ctx, place{s, frame}, false)
}

// Picked returns the picture that fit and pick read: after base, and calmed
// where calm asks for it.
func (r *Renderer) Picked(ctx context.Context, s *study.Study, frame int, calm bool) (*colour.Image, error) {
	return r.based(ctx, place{s, frame}, calm)
}

// Source returns a frame as it was decoded.
func (r *Renderer) Source(ctx context.Context, s *study.Study, frame int) (*colour.Image, error) {
	p := place{s, frame}
	return stage(r, Decode, p.source(), func() (*colour.Image, int, error) {
		m, err := r.source.Frame(ctx, frame)
		if err != nil {
			return nil, 0, err
		}
		return m, imageBytes(m), nil
	})
}

func (r *Renderer) calmed(ctx context.Context, p place, calm bool) (*colour.Image, error) {
	src, err := r.Source(ctx, p.study, p.frame)
	if err != nil || !calm {
		return src, err
	}
	return stage(r, Calm, p.calmed(calm), func() (*colour.Image, int, error) {
		dst := new(colour.Image)
		err := colour.Calm(ctx, dst, src, p.study.Clip.Noise, r.workers)
		return dst, imageBytes(dst), err
	})
}

func (r *Renderer) based(ctx context.Context, p place, calm bool) (*colour.Image, error) {
	src, err := r.calmed(ctx, p, calm)
	base := p.study.Base.At(p.frame)
	if err != nil || base.IsNeutral() {
		return src, err
	}
	return stage(r, Base, p.based(calm), func() (*colour.Image, int, error) {
		dst := new(colour.Image)
		err := base.Apply(ctx, dst, src, r.workers)
		return dst, imageBytes(dst), err
	})
}

func (r *Renderer) codes(ctx context.Context, p place, calm bool, m selection.Model) (*selection.Codes, error) {
	src, err := r.based(ctx, p, calm)
	if err != nil {
		return nil, err
	}
	return stage(r, Convert, p.converted(calm, m), func() (*selection.Codes, int, error) {
		c := new(selection.Codes)
		err := c.Convert(ctx, src, m, r.workers)
		return c, imageBytes(src), err // 9 bytes a pixel beside 12
	})
}
