package view

import (
	"context"

	"halocline/app/render"
	"halocline/colour"
)

// Render returns the layers that views are made of. Where the request has no
// settings there is no matte, and there are no reasons.
func Render(ctx context.Context, r *render.Renderer, q render.Request, views ...View) (Layers, error) {
	return rendered(ctx, r, q, r.Trial, views)
}

// RenderAlone is Render for one matte, whose trial alone grades: how a proof is
// shown.
func RenderAlone(ctx context.Context, r *render.Renderer, q render.Request, views ...View) (Layers, error) {
	return rendered(ctx, r, q, r.TrialAlone, views)
}

func rendered(ctx context.Context, r *render.Renderer, q render.Request, grade func(context.Context, render.Request) (*colour.Image, error), views []View) (Layers, error) {
	l := Layers{Factor: max(q.Factor, 1)}
	size, err := r.Size(ctx, q.Study, q.Frame)
	if err != nil {
		return l, err
	}
	l.Region = covered(q.Region, l.Factor, size)
	shown, matte, reasons, trial := needs(views)
	if shown {
		if l.Shown, err = r.Shown(ctx, q); err != nil {
			return l, err
		}
	}
	if matte && q.Settings != nil {
		m, err := r.Matte(ctx, q)
		if err != nil {
			return l, err
		}
		l.Matte = &m
	}
	if reasons && q.Settings != nil {
		if l.Reasons, err = r.Reasons(ctx, q); err != nil {
			return l, err
		}
	}
	if trial {
		l.Trial, err = grade(ctx, q)
	}
	return l, err
}
