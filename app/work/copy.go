package work

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"halocline/app/regular"
	"halocline/app/study"
)

// CopyFootage copies the work's footage, which must be a still, into the folder
// of a study file that is about to be written, so that the study finds it there
// later. It returns the change that the study needs, for a session's Edit: the
// footage's new path. Where the same bytes lie there under that name nothing is
// written. Another file of that name is never replaced: that is an error which
// wraps fs.ErrExist.
func (w *Work) CopyFootage(ctx context.Context, studyPath string) (relink func(*study.Study) error, err error) {
	from := w.Study.Clip
	if w.Clip.IsSequence() {
		return nil, fmt.Errorf("work: %s is a sequence of %d files, want a still to copy beside the study", w.Clip.Name(), w.Clip.Count())
	}
	to := from
	if to.Path, err = filepath.Abs(filepath.Join(filepath.Dir(studyPath), filepath.Base(from.Path))); err != nil {
		return nil, fmt.Errorf("work: the study's folder is not known, %w: %s", err, studyPath)
	}
	_, err = os.Lstat(to.Path)
	switch {
	case err == nil:
		err = checkCopy(ctx, to, from)
	case errors.Is(err, fs.ErrNotExist):
		err = copyFootage(ctx, to, from)
	default:
		err = fmt.Errorf("work: cannot be looked at, %w: %s", err, to.Path)
	}
	if err != nil {
		return nil, err
	}
	return func(s *study.Study) error {
		s.Clip.Path = to.Path
		return nil
	}, nil
}

// checkCopy returns an error unless what lies at to is the footage.
func checkCopy(ctx context.Context, to, from study.Clip) error {
	err := to.CheckFootage(ctx)
	var wrong *study.FootageError
	if errors.As(err, &wrong) {
		return fmt.Errorf("work: %s is another file than the footage %s, which belongs beside the study: choose another folder (%w)", to.Path, from.Path, fs.ErrExist)
	}
	return err
}

func copyFootage(ctx context.Context, to, from study.Clip) error {
	if err := from.CheckFootage(ctx); err != nil {
		return err
	}
	in, _, err := regular.Open(from.Path)
	if err != nil {
		return fmt.Errorf("work: footage cannot be copied: %w", err)
	}
	defer in.Close()
	return study.WriteBeside(to.Path, func(out io.Writer) error {
		for ctx.Err() == nil {
			if _, err := io.CopyN(out, in, 1<<20); errors.Is(err, io.EOF) {
				return nil
			} else if err != nil {
				return err
			}
		}
		return ctx.Err()
	})
}
