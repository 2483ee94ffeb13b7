package carry

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"

	"halocline/app/clip"
	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
	"halocline/selection"
)

// A Taken is what is carried from a study to other clips.
type Taken struct {
	// Held says in words which values had keys and what they are held at.
	Held []string
	// Notices say what of the study's clip could not be looked at.
	Notices []string

	from    *study.Study // of its own, with one value for all that had keys
	path    string       // its file; "" for none
	clip    clip.Info
	several bool // the clip is a sequence
	colours palette
	dabs    map[int][]study.CarriedDab // by the matte's id
	made    map[string]string          // first files of clips, by the places of their studies
}

// Take reads what is to be carried from a work: its study as it stands, the colours of five frames,
// and those under its dabs.
func Take(ctx context.Context, w *work.Work) (*Taken, error) {
	t := &Taken{from: w.Study.Clone(), path: w.Path, clip: w.Clip.Info(), several: w.Clip.IsSequence(), dabs: map[int][]study.CarriedDab{}, made: map[string]string{}}
	for i := range w.Study.Mattes {
		m := &w.Study.Mattes[i]
		dabs, err := dabsOf(ctx, w, m)
		if err != nil {
			return nil, err
		}
		t.dabs[m.ID] = dabs
	}
	p, left, err := paletteOf(ctx, w.Clip, w.Renderer, w.Study)
	if err != nil {
		return nil, err
	}
	t.colours = p
	for _, err := range left {
		t.Notices = append(t.Notices, fmt.Sprintf("%s was looked at without one of its frames (%v)", w.Study.Clip.Name(), err))
	}
	t.Held = hold(t.from)
	return t, nil
}

// coloursOfDab is how many colours are kept of a dab: enough to tell its lit from its shaded part.
const coloursOfDab = 8

// dabsOf returns colours under a matte's dabs; for one without dabs those that it was carried with.
func dabsOf(ctx context.Context, w *work.Work, m *study.Matte) ([]study.CarriedDab, error) {
	if len(m.Dabs) == 0 {
		return m.Carried.Dabs, nil
	}
	samples, err := w.Renderer.DabSamples(ctx, w.Study, m)
	if err != nil {
		return nil, err
	}
	var out []study.CarriedDab
	for i, s := range samples {
		if len(s.Colours) > 0 {
			out = append(out, study.CarriedDab{Kind: m.Dabs[i].Kind, Colours: someColours(s)})
		}
	}
	return out, nil
}

// someColours returns a few colours of a dab, evenly spaced from its darkest to its lightest.
func someColours(s selection.Dab) (out [][3]uint8) {
	byLight := slices.Clone(s.Colours)
	slices.SortStableFunc(byLight, func(a, b colour.RGB) int { return cmp.Compare(a.Lab().L, b.Lab().L) })
	n := min(coloursOfDab, len(byLight))
	for i := range n {
		c := byLight[(2*i+1)*len(byLight)/(2*n)]
		out = append(out, [3]uint8{colour.Code8(float32(c.R)), colour.Code8(float32(c.G)), colour.Code8(float32(c.B))})
	}
	return out
}

// Open opens another clip as the study's own clip is read: a picture as the sequence that it belongs
// to where that is one, a movie by the matrix and range that were chosen. A study is no clip, nor
// is the clip that the study is of.
func (t *Taken) Open(ctx context.Context, path string) (w *work.Work, err error) {
	if work.IsStudy(path) {
		return nil, fmt.Errorf("carry: %s is a study, want a picture, a movie or a folder", path)
	}
	info, err := os.Stat(path)
	folder := err == nil && info.IsDir()
	switch {
	case clip.IsMovie(path) && !folder:
		w, err = work.OpenMovie(ctx, path, clip.Options{Matrix: t.from.Clip.Matrix, Range: t.from.Clip.Range})
	case folder || t.several:
		w, err = work.OpenSequence(ctx, path)
	default:
		w, err = work.Open(ctx, path)
	}
	if err != nil {
		return nil, err
	}
	if sameFile(w.Study.Clip.Path, t.from.Clip.Path) {
		return nil, errors.Join(fmt.Errorf("carry: %s is the clip that the study is of, want another", path), w.Close())
	}
	return w, nil
}

func sameFile(a, b string) bool {
	one, errOne := os.Stat(a)
	other, errOther := os.Stat(b)
	return errOne == nil && errOther == nil && os.SameFile(one, other)
}

// Place is where the study of a clip is saved: beside it, or in a folder under the name that it
// would have there; "" for the former.
func Place(w *work.Work, folder string) string {
	if folder == "" {
		return w.Beside()
	}
	return filepath.Join(folder, filepath.Base(w.Beside()))
}

// rounded leaves a figure the decimals that it bears.
func rounded(v float64, decimals int) float64 {
	by := math.Pow10(decimals)
	return math.Round(v*by) / by
}
