package study

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"
	"time"
)

// A Recovery is unsaved work that a session left behind when it ended without
// closing, or that one keeps which has not ended (InUse).
type Recovery struct {
	Study *Study
	Path  string    // the autosave file
	Time  time.Time // when it was written
	Older bool      // the study's file was written after it
	InUse *Owner    // the process that still works on it; nil for none. It is not to be taken up
}

// Recover looks for unsaved work beside the study file at path, which need not
// exist: for the newest that no running session keeps, else for some that one does
// (InUse). It returns nil where there is none, and an error where there is none
// that can be read; the files stay in any case.
func Recover(path string) (*Recovery, error) {
	return recoverFrom(AutosavePath(path), path)
}

// RecoverFrom looks for unsaved work in an autosave file of a study that has
// no file of its own, and in the numbered ones beside it.
func RecoverFrom(autosave string) (*Recovery, error) {
	return recoverFrom(autosave, "")
}

func recoverFrom(autosave, path string) (*Recovery, error) {
	var best *Recovery
	var unread error
	for n := range mostAutosaves {
		r, err := recoverOne(autosaveNumber(autosave, n+1))
		if err != nil && unread == nil {
			unread = err
		}
		if r != nil && (best == nil || r.before(best)) {
			best = r
		}
	}
	if unread != nil && (best == nil || best.InUse != nil) {
		return nil, unread
	}
	if best == nil {
		return nil, nil
	}
	if file, err := os.Stat(path); path != "" && err == nil {
		best.Older = file.ModTime().After(best.Time)
	}
	return best, nil
}

// before reports whether r is to be offered rather than b.
func (r *Recovery) before(b *Recovery) bool {
	if (r.InUse == nil) != (b.InUse == nil) {
		return r.InUse == nil
	}
	return r.Time.After(b.Time)
}

func recoverOne(autosave string) (*Recovery, error) {
	info, err := os.Stat(autosave)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR) { // a file where its folder would be
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("study: unsaved work cannot be read, %w: %s", cause(err), autosave)
	}
	owner := inUse(LockPath(autosave)) // first: who ends after this leaves a whole file
	s, err := Load(autosave)
	if err != nil {
		return nil, err
	}
	return &Recovery{Study: s, Path: autosave, Time: info.ModTime(), InUse: owner}, nil
}

// RecoveredSession returns a session of recovered work: it belongs to the study
// file at path, "" if there is none, and is unsaved. The first Autosave writes
// the work anew: the session that offered it may have taken the file away. Where the
// study's file was written after the work was kept (Older), Save tells that it has
// changed.
func RecoveredSession(r *Recovery, path string) *Session {
	s := NewSession(r.Study, path)
	s.saved, s.kept, s.fresh = nil, nil, nil
	if r.Older {
		s.file = FileState{}
	}
	if path == "" {
		s.autosave = r.Path
	}
	if r.InUse == nil && !r.Time.IsZero() {
		s.keep.taken = r
	}
	return s
}

// isAt reports whether the file at path is the one that the work was found in, not
// written again since.
func (r *Recovery) isAt(path string) bool {
	if r == nil || path != r.Path {
		return false
	}
	info, err := os.Stat(path)
	return err == nil && info.ModTime().Equal(r.Time)
}
