package batch

import (
	"context"
	"fmt"
	"slices"

	"halocline/app/render"
	"halocline/app/retrace"
	"halocline/app/study"
)

// takeFound puts the edge that is found on the frame in place of a mask's outline there.
func (f *maskFlags) takeFound(ctx context.Context, w opened, m *study.Matte, to *study.Mask) (notices []string, err error) {
	o, err := f.findEdge(ctx, w, m, to)
	if err != nil {
		return nil, err
	}
	taken, err := retrace.Take(ctx, w.Study, m, to.ID, f.frame, o.Found)
	if err != nil {
		return nil, fmt.Errorf("batch: %w", err)
	}
	return taken.Notices(), nil
}

// findEdge finds the edge of one mask of a matte on the frame.
func (f *maskFlags) findEdge(ctx context.Context, w opened, m *study.Matte, to *study.Mask) (o render.Outline, err error) {
	if to.Search == 0 && to.StretchAt(f.frame) == nil {
		return o, fmt.Errorf("batch: mask %q searches no edge, and does not follow the picture on frame %d, want --search PX with --found", to.Name, f.frame)
	}
	if r := retrace.Check(to, f.frame); r != nil {
		return o, fmt.Errorf("batch: %w", r)
	}
	if err := w.Study.Validate(); err != nil {
		return o, err
	}
	i := slices.IndexFunc(m.Masks, func(k study.Mask) bool { return k.ID == to.ID })
	return retrace.Find(ctx, w.Renderer, w.Study, m, i, f.frame)
}
