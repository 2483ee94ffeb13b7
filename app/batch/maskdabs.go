package batch

import (
	"context"
	"fmt"
	"slices"

	"halocline/app/render"
	"halocline/app/study"
)

// dab gives the searches of a matte's masks the dabs of the call, on its frame.
func (f *maskFlags) dab(s *study.Study, m *study.Matte) {
	if f.clearDabs {
		m.MaskDabs = slices.DeleteFunc(slices.Clone(m.MaskDabs), func(d study.Dab) bool { return d.Frame == f.frame })
	}
	for _, d := range f.dabs() {
		d.ID = s.NewID()
		m.MaskDabs = append(m.MaskDabs, d)
	}
}

// dabs are those of the call, without ids.
func (f *maskFlags) dabs() (all []study.Dab) {
	for _, group := range []struct {
		kind  study.Kind
		discs discs
	}{{study.Keep, f.keepDab}, {study.Drop, f.dropDab}} {
		for _, d := range group.discs {
			all = append(all, study.Dab{Frame: f.frame, X: d.x, Y: d.y, Radius: d.radius, Kind: group.kind})
		}
	}
	return all
}

// unheardDabs tells of the call's dabs that have no say in any search of the matte's masks.
func (f *maskFlags) unheardDabs(ctx context.Context, w opened, m *study.Matte) (notices []string, err error) {
	if !f.anySet("keep-dab", "drop-dab") {
		return nil, nil
	}
	if err := w.Study.Validate(); err != nil {
		return nil, err
	}
	for _, d := range f.dabs() {
		say, err := render.SayOf(ctx, &m.Settings, d, w.Clip.Info().Height)
		if err != nil {
			return nil, err
		}
		switch at := fmt.Sprintf("%s dab %g,%g,%g", d.Kind, d.X, d.Y, d.Radius); {
		case say == render.NoSearch:
			notices = append(notices, fmt.Sprintf("%s has no say: no mask of matte %q searches an edge on frame %d (--search)", at, m.Name, f.frame))
		case say != render.Heard:
			notices = append(notices, fmt.Sprintf("%s has no say: %s of matte %q that searches an edge on frame %d", at, say.Why(), m.Name, f.frame))
		}
	}
	return notices, nil
}
