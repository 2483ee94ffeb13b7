package batch

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"halocline/app/study"
	"halocline/app/work"
)

// opened is what a verb works on.
type opened struct{ *work.Work }

// open opens a study, or a picture, for which it makes a new study. Of a picture
// it tells what could not be taken as it stands.
func (c *call) open(ctx context.Context, path string) (opened, error) {
	w, err := work.Open(ctx, path)
	if err != nil {
		return opened{}, err
	}
	if w.Path == "" {
		for _, n := range w.Notices {
			c.notice("%s", n)
		}
	}
	return opened{w}, nil
}

func openStudy(ctx context.Context, path string) (opened, error) {
	w, err := work.OpenStudy(ctx, path)
	return opened{w}, err
}

// frame returns the number of the frame that a verb without --frame is about.
func (w opened) frame() int { return w.Study.Clip.First }

// save writes the study to out, or where it came from, or beside its picture. A
// file that it did not come from is never replaced.
func (w opened) save(out string) error {
	path := w.Path
	switch {
	case out != "":
		path = out
	case path == "":
		path = strings.TrimSuffix(w.Clip.Path(), filepath.Ext(w.Clip.Path())) + study.Ending
	}
	if !work.IsStudy(path) {
		return misuse("study file is %q, want a name that ends with %s", path, study.Ending)
	}
	if !sameFile(path, w.Path) {
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("batch: %s exists: give that study instead of the picture, or another name with --study", path)
		}
	}
	w.Path = path
	return study.Save(path, w.Study)
}

func sameFile(a, b string) bool {
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(infoA, infoB)
}

// matte returns the matte that a name means.
func (w opened) matte(name string) (*study.Matte, error) {
	if m := w.Study.MatteNamed(name); m != nil {
		return m, nil
	}
	return nil, fmt.Errorf("batch: %s has no matte %q, want one of %s", w.Path, name, w.matteNames())
}

func (w opened) matteNames() string {
	var names []string
	for _, m := range w.Study.Mattes {
		names = append(names, fmt.Sprintf("%q", m.Name))
	}
	if len(names) == 0 {
		return "none: it has no mattes yet"
	}
	return strings.Join(names, ", ")
}
