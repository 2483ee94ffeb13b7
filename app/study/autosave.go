package study

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"
)

// AutosavePath returns the file beside a study's that keeps unsaved work.
func AutosavePath(path string) string { return path + ".autosave" }

// Path returns the study's file, "" until it has been saved.
func (s *Session) Path() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.path
}

// Dirty reports whether the study differs from its file. One that has no file
// is dirty.
func (s *Session) Dirty() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now != s.saved
}

// Save writes the study to its file.
func (s *Session) Save() error {
	path := s.Path()
	if path == "" {
		return errors.New("study: it has no file yet, want a name to save it under")
	}
	return s.SaveAs(path)
}

// SaveAs writes the study to a file, which becomes its own. The autosave file
// is removed. Where that fails the study is as unsaved as before.
func (s *Session) SaveAs(path string) error {
	s.disk.Lock()
	defer s.disk.Unlock()
	now := s.toWrite()
	if err := Save(path, now.study()); err != nil {
		return err
	}
	s.mu.Lock()
	old, others := s.autosave, s.others
	s.path, s.autosave, s.saved, s.kept = path, AutosavePath(path), now.as, nil
	s.mu.Unlock()
	if others && old == AutosavePath(path) {
		return nil
	}
	if others {
		old = ""
	}
	return errors.Join(removeAutosave(old), removeAutosave(AutosavePath(path)))
}

// A writing is the study that goes to a file, with the ids that its session
// has used.
type writing struct {
	as   *Study
	next int
}

func (w writing) study() *Study {
	c := *w.as
	c.Next = max(c.Next, w.next)
	return &c
}

func (s *Session) toWrite() writing {
	s.mu.Lock()
	defer s.mu.Unlock()
	return writing{s.now, s.next}
}

// EarlierEnding is added to the name of an autosave file that held another
// session's work when this one had to keep its own.
const EarlierEnding = ".earlier"

// LeaveOffered tells the session that its autosave file holds work of an earlier
// one, which nobody has taken up or refused: it is not removed, and once this
// session has work of its own to keep there, moved aside (EarlierEnding).
func (s *Session) LeaveOffered() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.others = true
}

// AutosaveTo sets the file that keeps unsaved work of a study that has no file
// of its own.
func (s *Session) AutosaveTo(path string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.autosave = path
}

// Autosave writes what is not saved to the autosave file, if it is not there
// yet. Where nothing is unsaved it removes that file.
func (s *Session) Autosave() error {
	s.disk.Lock()
	defer s.disk.Unlock()
	s.mu.Lock()
	path, idle, clean, others := s.autosave, s.closed || s.autosave == "" || s.now == s.kept, s.now == s.saved, s.others
	if clean {
		s.kept = s.now
	}
	s.mu.Unlock()
	switch {
	case idle:
		return nil
	case clean && others:
		return nil
	case clean:
		return removeAutosave(path)
	}
	if others {
		if err := os.Rename(path, path+EarlierEnding); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("study: %w", err)
		}
		s.mu.Lock()
		s.others = false
		s.mu.Unlock()
	}
	now := s.toWrite()
	if err := Save(path, now.study()); err != nil {
		return err
	}
	s.mu.Lock()
	s.kept = now.as
	s.mu.Unlock()
	return nil
}

// AutosaveEvery calls Autosave at intervals until ctx ends, and gives its
// errors to report.
func (s *Session) AutosaveEvery(ctx context.Context, interval time.Duration, report func(error)) {
	tick := time.NewTicker(interval)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if err := s.Autosave(); err != nil {
				report(err)
			}
		}
	}
}

// Close ends the session and removes the autosave file, unless that is another's
// (LeaveOffered): what is unsaved is given up. Autosave does nothing from then on.
func (s *Session) Close() error {
	s.disk.Lock()
	defer s.disk.Unlock()
	s.mu.Lock()
	s.closed = true
	path, others := s.autosave, s.others
	s.mu.Unlock()
	if others {
		return nil
	}
	return removeAutosave(path)
}

func removeAutosave(path string) error {
	if path == "" {
		return nil
	}
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("study: %w", err)
	}
	return nil
}

// A Recovery is unsaved work that a session left behind when it ended without
// closing.
type Recovery struct {
	Study *Study
	Path  string    // the autosave file
	Time  time.Time // when it was written
	Older bool      // the study's file was written after it
}

// Recover looks for unsaved work beside the study file at path, which need not
// exist. It returns nil where there is none, and an error where there is some
// that cannot be read; the autosave file stays in any case.
func Recover(path string) (*Recovery, error) {
	return recoverFrom(AutosavePath(path), path)
}

// RecoverFrom looks for unsaved work in an autosave file of a study that has
// no file of its own.
func RecoverFrom(autosave string) (*Recovery, error) {
	return recoverFrom(autosave, "")
}

func recoverFrom(autosave, path string) (*Recovery, error) {
	info, err := os.Stat(autosave)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("study: %w", err)
	}
	s, err := Load(autosave)
	if err != nil {
		return nil, err
	}
	r := &Recovery{Study: s, Path: autosave, Time: info.ModTime()}
	if file, err := os.Stat(path); path != "" && err == nil {
		r.Older = file.ModTime().After(r.Time)
	}
	return r, nil
}

// RecoveredSession returns a session of recovered work: it belongs to the study
// file at path, "" if there is none, and is unsaved. The first Autosave writes
// the work anew: the session that offered it may have taken the file away.
func RecoveredSession(r *Recovery, path string) *Session {
	s := NewSession(r.Study, path)
	s.saved, s.autosave, s.kept = nil, r.Path, nil
	return s
}
