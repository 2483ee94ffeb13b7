package batch

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

// A work is a study at hand with its footage.
type work struct {
	study    *study.Study
	path     string // the study's file; "" where it has none yet
	clip     *clip.Clip
	renderer *render.Renderer
}

// studyEnding is how the names of study files end.
const studyEnding = study.Ending

func isStudy(path string) bool { return strings.EqualFold(filepath.Ext(path), studyEnding) }

// openWork opens a study, or a picture, for which it makes a new study.
func (c *call) openWork(ctx context.Context, path string) (*work, error) {
	if isStudy(path) {
		return openStudy(ctx, path)
	}
	return c.openPicture(ctx, path)
}

func openStudy(ctx context.Context, path string) (*work, error) {
	s, err := study.Load(path)
	if err != nil {
		return nil, err
	}
	if err := s.Clip.CheckFootage(ctx); err != nil {
		return nil, err
	}
	footage, err := clip.Open(s.Clip.Path)
	if err != nil {
		return nil, err
	}
	return &work{s, path, footage, render.New(footage, 0, render.DefaultCache)}, nil
}

func (c *call) openPicture(ctx context.Context, path string) (*work, error) {
	footage, err := clip.Open(path)
	if err != nil {
		return nil, err
	}
	for _, n := range footage.Info().Notices {
		c.notice("%s: %s", filepath.Base(path), n)
	}
	s, err := newStudy(ctx, footage)
	if err != nil {
		return nil, err
	}
	return &work{s, "", footage, render.New(footage, 0, render.DefaultCache)}, nil
}

// newStudy returns a study of a clip: fingerprint and noise measured, all else
// neutral.
func newStudy(ctx context.Context, footage *clip.Clip) (*study.Study, error) {
	path, err := filepath.Abs(footage.Path())
	if err != nil {
		return nil, fmt.Errorf("batch: %s: %w", footage.Path(), err)
	}
	print, err := study.Measure(ctx, path)
	if err != nil {
		return nil, fmt.Errorf("batch: %s cannot be measured: %w", footage.Path(), err)
	}
	first, err := footage.Frame(ctx, footage.First())
	if err != nil {
		return nil, err
	}
	return study.New(study.Clip{
		Path: path, First: footage.First(), Count: footage.Count(), Noise: readable(colour.Noise(first)),
		Footage: print,
	}), nil
}

// readable rounds measured numbers to six decimals, a hundredth of a 16-bit
// code: what a person can read in a study, and the same in every build.
func readable(v [3]float64) [3]float64 {
	for i := range v {
		v[i] = math.Round(v[i]*1e6) / 1e6
	}
	return v
}

// frame returns the number of the frame that a verb without --frame is about.
func (w *work) frame() int { return w.study.Clip.First }

// save writes the study to out, or where it came from, or beside its picture. A
// file that it did not come from is never replaced.
func (w *work) save(out string) error {
	path := w.path
	switch {
	case out != "":
		path = out
	case path == "":
		path = strings.TrimSuffix(w.clip.Path(), filepath.Ext(w.clip.Path())) + studyEnding
	}
	if !isStudy(path) {
		return misuse("study file is %q, want a name that ends with %s", path, studyEnding)
	}
	if !sameFile(path, w.path) {
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("batch: %s exists: give that study instead of the picture, or another name with --study", path)
		}
	}
	w.path = path
	return study.Save(path, w.study)
}

func sameFile(a, b string) bool {
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(infoA, infoB)
}

// matte returns the matte that a name means.
func (w *work) matte(name string) (*study.Matte, error) {
	if m := w.study.MatteNamed(name); m != nil {
		return m, nil
	}
	return nil, fmt.Errorf("batch: %s has no matte %q, want one of %s", w.path, name, w.matteNames())
}

func (w *work) matteNames() string {
	var names []string
	for _, m := range w.study.Mattes {
		names = append(names, fmt.Sprintf("%q", m.Name))
	}
	if len(names) == 0 {
		return "none: it has no mattes yet"
	}
	return strings.Join(names, ", ")
}
