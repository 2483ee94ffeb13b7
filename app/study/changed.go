package study

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"
)

// A FileState tells a file's content from what it was before. The zero value is that of
// no file.
type FileState struct {
	size   int64
	time   time.Time // it was written
	taken  time.Time // the content was read, or later
	sha256 [sha256.Size]byte
}

// coarseTime is more than what the clocks of file systems leave out: FAT counts
// every other second. A file written so shortly before it was looked at may have been
// written again without another time.
const coarseTime = 3 * time.Second

// stateOf is the state of an open file whose content has been read.
func stateOf(info fs.FileInfo, content []byte) FileState {
	return FileState{info.Size(), info.ModTime(), time.Now(), sha256.Sum256(content)}
}

// stateAt reads the state of the file at path, the zero value where there is none.
func stateAt(path string) (FileState, error) {
	content, info, err := readFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return FileState{}, nil
	case err != nil:
		return FileState{}, err
	}
	return stateOf(info, content), nil
}

// isStill reports whether the file at path is as s has it, or gone: writing it then
// loses nothing. It reads the file only where size and time leave a doubt. A file that
// cannot be read is an error.
func (s FileState) isStill(path string) (bool, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return true, nil
	case err != nil:
		return false, err
	case s.taken.IsZero() || info.Size() != s.size:
		return false, nil
	case info.ModTime().Equal(s.time) && s.taken.Sub(s.time) > coarseTime:
		return true, nil
	}
	now, err := stateAt(path)
	return now.sha256 == s.sha256, err
}

// ErrChanged is in the chain of every ChangedError.
var ErrChanged = errors.New("changed by another program")

// A ChangedError says that a study's file is not as it was when it was opened or saved
// last: another program, or another window, has written it. It is an ErrChanged.
type ChangedError struct {
	Path string
	Time time.Time // it was written
}

// Is reports whether target is ErrChanged.
func (e *ChangedError) Is(target error) bool { return target == ErrChanged }

func (e *ChangedError) Error() string {
	return fmt.Sprintf("study: not saved, for another program has changed the file at %s: %s", e.Time.Local().Format("2006-01-02 15:04:05"), e.Path)
}

// CheckUnchanged returns a *ChangedError where the file at path is not as s has it.
// Hold its lock.
func (s FileState) CheckUnchanged(path string) error {
	same, err := s.isStill(path)
	if err != nil {
		return fmt.Errorf("study: cannot be looked at before it is saved, %w: %s", cause(err), path)
	}
	if same {
		return nil
	}
	e := &ChangedError{Path: path}
	if info, err := os.Stat(path); err == nil {
		e.Time = info.ModTime()
	}
	return e
}
