package shot

import (
	"context"
	"errors"

	"halocline/app/check"
	"halocline/app/render"
)

// seam returns how a moment's matte sits on the picture's edge under its trial;
// nil where there is no trial or no seam.
func (p *pass) seam(ctx context.Context, r *render.Renderer, now *moment) (*check.SeamFigures, error) {
	if trial := p.Settings.Trial.At(now.request.Frame); !trial.Grades() {
		return nil, nil
	}
	s, err := check.SeamOn(ctx, r, now.request, 1)
	if errors.As(err, new(check.NoSeamError)) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	f, err := s.Seam.Judge(ctx, now.matte, s.Trial(), 1)
	return &f, err
}
