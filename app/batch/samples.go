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
	to.StringVar(&f.model, "model", "auto", "auto, hsl, lch or plane; auto takes the better of hsl and lch, and a plane is only offered")
}

// fitter returns the fit that --model asks for.
func (f sampleFlags) fitter() (func([]selection.Dab) (selection.Fitted, error), error) {
	if f.model == "auto" {
		return selection.FitAuto, nil
	}
	m, err := selection.ParseModel(f.model)
	if err != nil {
		return nil, misuse("--model is %q, want auto, hsl, lch or plane", f.model)
	}
	return func(d []selection.Dab) (selection.Fitted, error) { return selection.Fit(d, m) }, nil
}

// masks are the samples that --keep and --drop give, and their colours.
type masks struct {
	frame      int // whose
	keep, drop []render.Area
	strays     straysReport
	dabs       []selection.Dab
}

// straysReport tells of the specks of both mask pictures; null: there are none.
type straysReport struct {
	Keep *strayReport `json:"keep,omitempty"`
	Drop *strayReport `json:"drop,omitempty"`
}

// strayReport tells of the specks of one mask picture.
type strayReport struct {
	Areas  int  `json:"areas"`
	Pixels int  `json:"pixels"`
	Pooled bool `json:"pooled"` // they count as one dab, else they are left out
}

// orNone returns the report, nil where neither picture has specks.
func (s straysReport) orNone() *straysReport {
	if s == (straysReport{}) {
		return nil
	}
	return &s
}

// tellStrays tells of specks in the mask pictures, and what becomes of them.
func (c *call) tellStrays(f sampleFlags, m masks) {
	for _, p := range []struct {
		path  string
		found *strayReport
	}{{f.keep, m.strays.Keep}, {f.drop, m.strays.Drop}} {
		switch s := p.found; {
		case s == nil:
		case s.Pooled:
			c.notice("%s: %s are more than a tenth of the white pixels, and count as one dab", p.path, s.words())
		default:
			c.notice("%s: %s are left out", p.path, s.words())
		}
	}
}

// words says how many specks there are.
func (s *strayReport) words() string {
	specks := "specks"
	if s.Areas == 1 {
		specks = "speck"
	}
	return fmt.Sprintf("%d %s of less than 16 px (%d px in all)", s.Areas, specks, s.Pixels)
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
	if m.keep, m.strays.Keep, err = readAreas(ctx, picture, f.keep, "keep"); err != nil {
		return m, err
	}
	if f.drop != "" {
		if m.drop, m.strays.Drop, err = readAreas(ctx, picture, f.drop, "drop"); err != nil {
			return m, err
		}
	}
	m.dabs = append(render.MaskSamples(picture, m.keep, true), render.MaskSamples(picture, m.drop, false)...)
	return m, nil
}

// readAreas returns the areas of a mask picture, and what of its specks there is to tell.
func readAreas(ctx context.Context, picture *colour.Image, path, what string) ([]render.Area, *strayReport, error) {
	mask, _, err := clip.ReadMask(ctx, path)
	if err != nil {
		return nil, nil, err
	}
	w, h := picture.Size()
	if err := render.FitsPicture(path, mask, w, h); err != nil {
		return nil, nil, err
	}
	areas, strays := render.Areas(mask)
	switch {
	case len(areas) == 0:
		return nil, nil, fmt.Errorf("batch: %s has no opaque white pixel, want some on what to %s", path, what)
	case strays.Areas == 0:
		return areas, nil, nil
	}
	return areas, &strayReport{strays.Areas, strays.Pixels, strays.Pooled}, nil
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
