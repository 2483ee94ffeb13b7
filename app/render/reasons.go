package render

import (
	"context"

	"halocline/app/study"
	"halocline/selection"
)

// Reasons returns for each pixel of a frame, row by row, what keeps it out of
// a matte.
func (r *Renderer) Reasons(ctx context.Context, s *study.Study, set *study.Settings, frame int) ([]selection.Reason, error) {
	src, err := r.Picked(ctx, s, frame, set.Pick.Calm)
	if err != nil {
		return nil, err
	}
	var w selection.Weigher
	w.Set(set.Pick.At(frame))
	return w.Reasons(ctx, nil, src, r.workers)
}
