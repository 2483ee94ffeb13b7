package study

import (
	"context"
	"errors"
	"time"
)

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

// Unsaved reports whether work would be lost: a study that was made of footage, and
// that nobody has changed, is none.
func (s *Session) Unsaved() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now != s.saved && s.now != s.fresh
}

// Save writes the study to its file. Where another program has changed that since it
// was opened or saved here, nothing is written, and the error is a *ChangedError
// (ErrChanged): SaveOver, TakeFile and SaveAs are the ways on. Where another
// process is changing it, the error is a *LockedError (ErrLocked).
func (s *Session) Save() error { return s.saveHere(FileState.CheckUnchanged) }

// SaveOver writes the study to its file, whatever is in that by now.
func (s *Session) SaveOver() error {
	return s.saveHere(func(FileState, string) error { return nil })
}

func (s *Session) saveHere(check func(FileState, string) error) error {
	path := s.Path()
	if path == "" {
		return errors.New("study: it has no file yet, want a name to save it under")
	}
	s.disk.Lock()
	defer s.disk.Unlock()
	if err := s.write(path, check); err != nil {
		return err
	}
	return s.dropKept()
}

// SaveAs writes the study to a file, which becomes its own, and in place of one that
// is there. What the session kept of unsaved work is removed, as is what ended sessions
// kept beside the file that it replaces. Where that fails the study is as unsaved as
// before.
func (s *Session) SaveAs(path string) error {
	s.disk.Lock()
	defer s.disk.Unlock()
	old := s.Path()
	if err := s.write(path, func(FileState, string) error { return nil }); err != nil {
		return err
	}
	err := s.dropKept()
	if old == path {
		return err
	}
	s.mu.Lock()
	s.autosave, s.keep.others = AutosavePath(path), false
	s.mu.Unlock()
	return errors.Join(err, removeUnused(AutosavePath(path), func(string) bool { return true }))
}

// saveWait is how long a save waits for another process that changes the study: a
// person sees the window stand still meanwhile.
const saveWait = time.Second

// write checks the file at path and writes the study to it, under its lock; s.disk is
// locked.
func (s *Session) write(path string, check func(FileState, string) error) (err error) {
	lock, err := acquire(context.Background(), path, saveWait)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, lock.Release()) }()
	s.mu.Lock()
	file := s.file
	s.mu.Unlock()
	if err := check(file, path); err != nil {
		return err
	}
	now := s.toWrite()
	state, err := save(path, now.study())
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.path, s.file, s.saved, s.kept = path, state, now.as, nil
	return nil
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

// TakeFile makes the study that the session's file holds now the one that is worked
// on, as one edit: Undo brings back the study as it was. A drag that is open is
// committed first. Where accept is given and returns an error, nothing is taken.
func (s *Session) TakeFile(label string, accept func(theirs *Study) error) error {
	path := s.Path()
	if path == "" {
		return errors.New("study: it has no file yet, so that there is nothing to take from it")
	}
	s.disk.Lock()
	defer s.disk.Unlock()
	theirs, state, err := LoadState(path)
	if err != nil {
		return err
	}
	if accept != nil {
		if err := accept(theirs); err != nil {
			return err
		}
	}
	s.door.Lock()
	defer s.door.Unlock()
	s.commit(s.openDrag())
	s.mu.Lock()
	defer s.mu.Unlock()
	before := s.now
	if same(theirs, before) {
		s.saved, s.file = before, state
		return nil
	}
	s.next = max(s.next, theirs.Next)
	theirs.share(before)
	s.now, s.saved, s.file = theirs, theirs, state
	s.push(edit{label, before, nil})
	return nil
}
