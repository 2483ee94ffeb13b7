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

// Make opens a clip, makes its study and saves it at its Place. Others go on where a clip fails. Of
// the result the clip is closed.
func (t *Taken) Make(ctx context.Context, path, folder string, o Options) (r Result, err error) {
	w, err := t.Open(ctx, path)
	if err != nil {
		return r, err
	}
	defer func() { err = errors.Join(err, w.Close()) }()
	if r, err = t.To(ctx, w, o); err != nil {
		return r, err
	}
	return r, t.save(ctx, &r, Place(w, folder), o.Overwrite)
}

// save writes the study to a file, under its lock. One that is there is replaced only with overwrite,
// and never the study that is carried, nor one that was made of it for another clip.
func (t *Taken) save(ctx context.Context, r *Result, path string, overwrite bool) (err error) {
	if t.path != "" && sameFile(path, t.path) {
		return fmt.Errorf("carry: %s is the study that is carried, want another place", path)
	}
	if other, twice := t.made[path]; twice && !sameFile(other, r.Work.Study.Clip.Path) {
		return fmt.Errorf("carry: %s and %s would both have their study at %s, want clips of two names", other, r.Work.Study.Clip.Path, path)
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
		return fmt.Errorf("carry: %s exists: choose another folder, or replace it (--overwrite on the command line)", path)
	}
	if err := study.Save(path, r.Work.Study); err != nil {
		return err
	}
	r.Work.Path, t.made[path] = path, r.Work.Study.Clip.Path
	return nil
}
