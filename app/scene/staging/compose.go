package staging

import (
	"context"
	"fmt"
	"path/filepath"

	"halocline/app/scene"
	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// defaultModel is what a matte's ranges are of until it is fitted.
const defaultModel = selection.LCh

// compose opens the frames that are there, and fits a matte to each class by what
// is marked on them.
func (t *Take) compose(ctx context.Context) error {
	if err := t.open(ctx); err != nil {
		return err
	}
	t.addMattes()
	return t.Fit(ctx)
}

// composeClip makes the study of all recorded frames: masks and base keyed, dabs
// on the marked frames, ranges fitted to all of them, and the skin's edge aligned to
// that in the picture and hardened.
func (t *Take) composeClip(ctx context.Context) error {
	if err := t.open(ctx); err != nil {
		return err
	}
	t.addMattes()
	edge := &t.Study.Mattes[0].Edge
	edge.Despeckle.Fix(200)
	edge.Align.Fix(4)
	edge.Harden.Fix(0.5)
	if err := t.SetBase(ctx); err != nil {
		return err
	}
	return t.Fit(ctx)
}

// open opens what was written, as a sequence where it is one.
func (t *Take) open(ctx context.Context) error {
	open := work.OpenPicture
	if len(t.Frames) > 1 {
		open = work.OpenSequence
	}
	w, err := open(ctx, t.FramePath())
	if err != nil {
		return err
	}
	if found := w.Clip.Count(); found != len(t.Frames) {
		return fmt.Errorf("staging: %s has %d frames, want the %d that were written: choose another folder", filepath.Dir(t.FramePath()), found, len(t.Frames))
	}
	t.Study, t.Renderer = w.Study, w.Renderer
	return nil
}

// addMattes gives the study a matte for each class, with the dabs of every marked
// frame, and its masks.
func (t *Take) addMattes() {
	for i, c := range classes {
		m := t.Study.AddMatte(c.name, defaultModel)
		for j, a := range t.annotations {
			if a.dabs != nil {
				t.addDabs(m, t.Frames[j], a.dabs[i])
			}
		}
		switch c.class {
		case scene.Skin:
			t.maskSkin(m)
		case scene.Sand:
			t.maskSand(m)
		}
	}
}

// addDabs gives a matte the dabs of one frame.
func (t *Take) addDabs(m *study.Matte, frame int, dabs scene.Dabs) {
	for _, group := range []struct {
		kind  study.Kind
		discs []scene.Disc
	}{{study.Keep, dabs.Keep}, {study.Drop, dabs.Drop}} {
		for _, d := range group.discs {
			t.Study.AddDab(m, study.Dab{Frame: frame, X: d.X, Y: d.Y, Radius: d.Radius, Kind: group.kind})
		}
	}
}

func (t *Take) maskSkin(m *study.Matte) {
	bodies := make([]body, len(t.annotations))
	for i, a := range t.annotations {
		bodies[i] = a.body
	}
	addBody(t.Study, m, bodies, t.Frames)
}

func (t *Take) maskSand(m *study.Matte) {
	lines := map[int][]mask.Point{}
	for i, a := range t.annotations {
		if a.dabs != nil {
			lines[t.Frames[i]] = a.seabed
		}
	}
	addSeabed(t.Study, m, lines)
}

// SetBase takes the scene's water out by its slate and open water, as a person
// would: a water type and a path by eye, and the two samples. Over a clip the
// samples are taken on each marked frame, as keys: the water deepens.
func (t *Take) SetBase(ctx context.Context) error {
	if len(t.Frames) <= 1 {
		return t.sampleBase(ctx, t.Study.Clip.First, t.Frame.Slate, t.Frame.OpenWater)
	}
	for i, a := range t.annotations {
		if a.dabs == nil {
			continue
		}
		base := &t.Study.Base
		for c := range 3 {
			base.Veil[c].StartKeys(t.Frames[i])
			base.Gain[c].StartKeys(t.Frames[i])
		}
		if err := t.sampleBase(ctx, t.Frames[i], a.slate, a.water); err != nil {
			return err
		}
	}
	return nil
}

func (t *Take) sampleBase(ctx context.Context, frame int, slate, water scene.Spot) error {
	src, err := t.Renderer.Source(ctx, t.Study, frame)
	if err != nil {
		return err
	}
	base := &t.Study.Base
	work.SetOpenWater(base, frame, lightOf(base.At(frame), src, water))
	return work.SetGrey(base, frame, lightOf(base.At(frame), src, slate))
}

// lightOf samples a spot, which lies in the picture: the scene's all do.
func lightOf(base colour.Base, src *colour.Image, s scene.Spot) [3]float64 {
	light, _ := base.Sample(src, s.X, s.Y, s.Radius)
	return light
}

// Fit sets every matte's pick from its dabs, through the base as it stands.
func (t *Take) Fit(ctx context.Context) error {
	for i := range t.Study.Mattes {
		m := &t.Study.Mattes[i]
		dabs, err := t.Renderer.DabSamples(ctx, t.Study, m)
		if err != nil {
			return err
		}
		fitted, err := selection.FitAuto(dabs)
		if err != nil {
			return fmt.Errorf("staging: matte %q: %w", m.Name, err)
		}
		m.Pick.TakeFit(fitted.Pick)
	}
	return nil
}
