package retrace

import (
	"context"

	"halocline/app/render"
	"halocline/app/study"
)

// Alone returns settings with one of their masks alone, and what it depends on.
func Alone(s *study.Settings, i int) study.Settings {
	alone := *s
	alone.Masks, alone.Joins = s.Masks[i:i+1], nil
	return alone
}

// Find returns the outline of one of a matte's masks on a frame, and where its edge is. The
// picture must lead it on that frame.
func Find(ctx context.Context, r *render.Renderer, s *study.Study, m *study.Matte, i, frame int) (o render.Outline, err error) {
	alone := Alone(&m.Settings, i)
	all, err := r.Outlines(ctx, render.Request{Study: s, Settings: &alone, Frame: frame})
	if err != nil {
		return o, err
	}
	return all[0], nil
}
