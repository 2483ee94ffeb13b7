package shot

import (
	"context"
	"errors"

	"halocline/app/check/seam"
	"halocline/app/render"
)

// seam finds how a moment's matte sits on the picture's edge under its trial, and which regions
// the grade should not reach; nothing where there is no trial or no seam.
func (p *pass) seam(ctx context.Context, r *render.Renderer, f *Frame, now *moment) error {
	if trial := p.Settings.Trial.At(now.request.Frame); !trial.Grades() {
		return nil
	}
	s, err := seam.On(ctx, r, now.request, 1)
	if errors.As(err, new(seam.NoneError)) {
		return nil
	}
	if err != nil {
		return err
	}
	figures, err := s.Seam.Judge(ctx, now.matte, s.Trial(), 1)
	if err != nil {
		return err
	}
	cover, err := s.Coverage(ctx, p.samples, 1)
	f.Seam, f.Coverage = &figures, &cover
	return err
}

// Verdict says in a sentence how the trial's grade sits in a frame; "" where there is no trial or
// no seam.
func (f *Frame) Verdict() string {
	if f.Seam == nil || f.Coverage == nil {
		return ""
	}
	return seam.VerdictOn(*f.Seam, f.Coverage).String()
}
