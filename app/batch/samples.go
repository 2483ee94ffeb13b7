package batch

import (
	"context"
	"fmt"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// masks are the samples that --keep and --drop give.
type masks struct {
	keep, drop []render.Area
}

// readMasks reads the mask pictures of samples; drop may be "".
func readMasks(ctx context.Context, picture *colour.Image, keep, drop string) (m masks, err error) {
	if keep == "" {
		return m, misuse("found no --keep MASK, want a picture that is white on what to keep")
	}
	if m.keep, err = readAreas(ctx, picture, keep); err != nil {
		return m, err
	}
	if len(m.keep) == 0 {
		return m, fmt.Errorf("batch: %s has no white pixel, want some on what to keep", keep)
	}
	if drop == "" {
		return m, nil
	}
	if m.drop, err = readAreas(ctx, picture, drop); err != nil {
		return m, err
	}
	if len(m.drop) == 0 {
		return m, fmt.Errorf("batch: %s has no white pixel, want some on what to drop", drop)
	}
	return m, nil
}

func readAreas(ctx context.Context, picture *colour.Image, path string) ([]render.Area, error) {
	mask, _, err := clip.ReadGrey(ctx, path)
	if err != nil {
		return nil, err
	}
	w, h := picture.Size()
	if err := render.FitsPicture(path, mask, w, h); err != nil {
		return nil, err
	}
	return render.Areas(mask), nil
}

// under returns the samples' colours on a picture.
func (m masks) under(picture *colour.Image) []selection.Dab {
	return append(render.MaskSamples(picture, m.keep, true), render.MaskSamples(picture, m.drop, false)...)
}

// addDabs gives the matte a dab for every area that is a disc, as a person would
// have set it; others stay in their mask picture.
func (m masks) addDabs(s *study.Study, to *study.Matte, frame int) (added, left int) {
	for _, group := range []struct {
		kind  study.Kind
		areas []render.Area
	}{{study.Keep, m.keep}, {study.Drop, m.drop}} {
		for _, a := range group.areas {
			if !a.IsADisc {
				left++
				continue
			}
			s.AddDab(to, study.Dab{Frame: frame, X: a.X, Y: a.Y, Radius: a.Radius, Kind: group.kind})
			added++
		}
	}
	return added, left
}
