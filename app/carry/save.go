package carry

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"halocline/app/study"
)

// Save writes the study to a file, under its lock. One that is there is replaced only with overwrite,
// and never the study that it was carried from, which is t's.
func (t *Taken) Save(ctx context.Context, r *Result, path string, overwrite bool) (err error) {
	if t.path != "" && sameFile(path, t.path) {
		return fmt.Errorf("carry: %s is the study that is carried, want another place", path)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return fmt.Errorf("carry: no folder for %s: %w", path, err)
	}
	lock, err := study.Acquire(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, lock.Release()) }()
	if _, err := os.Lstat(path); !overwrite && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("carry: %s exists, want a place without a study", path)
	}
	if err := study.Save(path, r.Work.Study); err != nil {
		return err
	}
	r.Work.Path = path
	return nil
}
