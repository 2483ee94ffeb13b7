package shot

import (
	"context"
	"errors"

	"halocline/app/check/seam"
	"halocline/app/render"
)

// seam returns how a moment's matte sits on the picture's edge under its trial;
// nil where there is no trial or no seam.
func (p *pass) seam(ctx context.Context, r *render.Renderer, now *moment) (*seam.Figures, error) {
	if trial := p.Settings.Trial.At(now.request.Frame); !trial.Grades() {
		return nil, nil
	}
	s, err := seam.On(ctx, r, now.request, 1)
	if errors.As(err, new(seam.NoneError)) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	f, err := s.Seam.Judge(ctx, now.matte, s.Trial(), 1)
	return &f, err
}
