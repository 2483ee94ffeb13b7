package batch

import (
	"context"
	"flag"
	"fmt"
	"slices"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// sampleFlags are those of a verb that reads samples.
type sampleFlags struct {
	set               *flag.FlagSet
	keep, drop, model string
	frame             *int
}

func (f *sampleFlags) add(to *flag.FlagSet) {
	f.set, f.frame = to, frameFlag(to)
	to.StringVar(&f.keep, "keep", "", "mask picture, white on what to keep: some discs of 12 pixels in different light; what is transparent is not sampled")
	to.StringVar(&f.drop, "drop", "", "mask picture, white on what to drop")
	to.StringVar(&f.model, "model", "auto", "auto, hsl or lch")
}

// fitter returns the fit that --model asks for.
func (f sampleFlags) fitter() (func([]selection.Dab) (selection.Fitted, error), error) {
	if f.model == "auto" {
		return selection.FitAuto, nil
	}
	m, err := selection.ParseModel(f.model)
	if err != nil {
		return nil, misuse("--model is %q, want auto, hsl or lch", f.model)
	}
	return func(d []selection.Dab) (selection.Fitted, error) { return selection.Fit(d, m) }, nil
}

// masks are the samples that --keep and --drop give, and their colours.
type masks struct {
	frame      int // whose
	keep, drop []render.Area
	dabs       []selection.Dab
}

// samples reads the mask pictures of samples and the colours under them, as the
// pick of those settings sees the work's picture, for nil a new pick; --drop may
// be missing.
func (w opened) samples(ctx context.Context, f sampleFlags, settings *study.Settings) (m masks, err error) {
	if f.keep == "" {
		return m, misuse("found no --keep MASK, want a picture that is white on what to keep")
	}
	if m.frame, err = w.frameOf(f.set, f.frame); err != nil {
		return m, err
	}
	picture, err := w.Renderer.Picked(ctx, render.Request{Study: w.Study, Settings: settings, Frame: m.frame})
	if err != nil {
		return m, err
	}
	if m.keep, err = readAreas(ctx, picture, f.keep, "keep"); err != nil {
		return m, err
	}
	if f.drop != "" {
		if m.drop, err = readAreas(ctx, picture, f.drop, "drop"); err != nil {
			return m, err
		}
	}
	m.dabs = append(render.MaskSamples(picture, m.keep, true), render.MaskSamples(picture, m.drop, false)...)
	return m, nil
}

func readAreas(ctx context.Context, picture *colour.Image, path, what string) ([]render.Area, error) {
	mask, _, err := clip.ReadMask(ctx, path)
	if err != nil {
		return nil, err
	}
	w, h := picture.Size()
	if err := render.FitsPicture(path, mask, w, h); err != nil {
		return nil, err
	}
	areas := render.Areas(mask)
	if len(areas) == 0 {
		return nil, fmt.Errorf("batch: %s has no opaque white pixel, want some on what to %s", path, what)
	}
	return areas, nil
}

// bothKinds reports whether there is something to keep and something to drop.
func (m masks) bothKinds() bool {
	has := func(keep bool) bool {
		return slices.ContainsFunc(m.dabs, func(d selection.Dab) bool { return d.Keep == keep })
	}
	return has(true) && has(false)
}

// addDabs gives the matte a dab for every area that is a disc, as a person would
// have set it; others stay in their mask picture.
func (m masks) addDabs(s *study.Study, to *study.Matte) (added, left int) {
	for _, group := range []struct {
		kind  study.Kind
		areas []render.Area
	}{{study.Keep, m.keep}, {study.Drop, m.drop}} {
		for _, a := range group.areas {
			if !a.IsADisc {
				left++
				continue
			}
			s.AddDab(to, study.Dab{Frame: m.frame, X: a.X, Y: a.Y, Radius: a.Radius, Kind: group.kind})
			added++
		}
	}
	return added, left
}
