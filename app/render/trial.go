package render

import (
	"context"
	"fmt"
	"slices"

	"halocline/app/study"
	"halocline/colour"
)

// Trial returns a frame as it is shown, graded through the study's mattes in
// their order, each grade on what the one before it left:
//
//	picture + matte (graded - picture)
//
// Trials that are off or change nothing, and those of hidden mattes, have no
// part. Where no matte with a part is above 0, the picture keeps its bits. The
// mattes themselves read nothing of it.
func (r *Renderer) Trial(ctx context.Context, q Request) (*colour.Image, error) {
	var through []*study.Settings
	for i := range q.Study.Mattes {
		if m := &q.Study.Mattes[i]; !slices.Contains(q.Hidden, m.ID) {
			through = append(through, &m.Settings)
		}
	}
	return r.graded(ctx, q, through)
}

// TrialAlone is Trial for one matte, whose settings the request gives: how a
// grade's edge is judged, and how a proof is shown.
func (r *Renderer) TrialAlone(ctx context.Context, q Request) (*colour.Image, error) {
	if q.Settings == nil {
		panic("render: a trial alone needs settings")
	}
	return r.graded(ctx, q, []*study.Settings{q.Settings})
}

func (r *Renderer) graded(ctx context.Context, q Request, through []*study.Settings) (*colour.Image, error) {
	p, err := r.part(ctx, q)
	if err != nil {
		return nil, err
	}
	layers, key, err := r.layers(ctx, q, through)
	if err != nil {
		return nil, err
	}
	if len(layers) == 0 {
		return r.Shown(ctx, q)
	}
	key = fmt.Sprintf("%s wanted %v%s", p.basedKey(false), p.want, key)
	return imageStage(r, Grade, key, func(dst *colour.Image) error {
		shown, err := r.Shown(ctx, q)
		if err != nil {
			return err
		}
		return gradeThrough(ctx, dst, shown, layers)
	})
}

// layers returns the settings whose trials change something as parts of what is
// asked for, and what their grades depend on.
func (r *Renderer) layers(ctx context.Context, q Request, through []*study.Settings) (layers []*part, key string, err error) {
	for _, s := range through {
		if !s.Trial.At(q.Frame).Grades() {
			continue
		}
		q.Settings = s
		p, err := r.part(ctx, q)
		if err != nil {
			return nil, "", err
		}
		p.touch()
		layers = append(layers, p)
		key += fmt.Sprintf(" through %s: %v", p.finalKey(), p.at.Trial.CDL())
	}
	return layers, key, nil
}

// gradeThrough makes dst what grades through layers, one or more, make of src.
func gradeThrough(ctx context.Context, dst, src *colour.Image, layers []*part) error {
	for _, p := range layers {
		grade, err := p.at.Trial.CDL().Grade()
		if err != nil {
			return err
		}
		worked, err := p.matte(ctx)
		if err != nil {
			return err
		}
		matte, err := p.wanted(ctx, worked)
		if err != nil {
			return err
		}
		if err := grade.Through(ctx, dst, src, matte, p.workers); err != nil {
			return err
		}
		src = dst
	}
	return nil
}
