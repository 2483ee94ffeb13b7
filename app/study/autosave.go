package study

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"time"
)

// AutosavePath returns the file beside a study's that keeps unsaved work. Where
// another session has it, the work is kept in a numbered one beside that (Autosave).
func AutosavePath(path string) string { return nextTo(path, ".autosave") }

// mostAutosaves is how many files of unsaved work may lie beside each other: more
// windows than anybody opens of one study.
const mostAutosaves = 20

// autosaveNumber returns the nth of the files for unsaved work, of which the first is
// autosave itself.
func autosaveNumber(autosave string, n int) string {
	if n == 1 {
		return autosave
	}
	return nextTo(autosave, "."+strconv.Itoa(n))
}

// EarlierEnding is added to the name of an autosave file that held another
// session's work when this one had to keep its own.
const EarlierEnding = ".earlier"

// A keeping is where a session keeps unsaved work.
type keeping struct {
	path   string    // the file; "" until there was something to keep
	lock   *Lock     // of that file: it tells other sessions that this one lives
	taken  *Recovery // the work that the session goes on with; nil for none
	others bool      // the first file holds work that was offered, and is not taken up yet
}

// LeaveOffered tells the session that its autosave file holds work of an earlier
// one, which nobody has taken up or refused: it is not removed, and once this
// session has work of its own to keep there, moved aside (EarlierEnding).
func (s *Session) LeaveOffered() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.keep.others = true
}

// AutosaveTo sets the file that keeps unsaved work of a study that has no file
// of its own. What the session kept elsewhere stays there, for Recover to find.
func (s *Session) AutosaveTo(path string) {
	s.disk.Lock()
	defer s.disk.Unlock()
	s.mu.Lock()
	defer s.mu.Unlock()
	s.autosave, s.kept = path, s.saved
	s.keep.lock.Release()
	s.keep.path, s.keep.lock = "", nil
}

// Autosave writes what is not saved to the autosave file, if it is not there
// yet. Where nothing is unsaved it removes that file. From the first write on until it
// is closed the session marks the file as its own, by a lock beside it. Where another
// session has marked it, or left work there, a numbered file beside it is taken.
func (s *Session) Autosave() error {
	s.disk.Lock()
	defer s.disk.Unlock()
	s.mu.Lock()
	idle, clean := s.closed || s.autosave == "" || s.now == s.kept, s.now == s.saved
	if clean {
		s.kept = s.now
	}
	s.mu.Unlock()
	switch {
	case idle:
		return nil
	case clean && s.keep.lock == nil:
		return nil
	case clean:
		return removeAutosave(s.keep.path)
	}
	if err := s.takeAutosave(); err != nil {
		return err
	}
	now := s.toWrite()
	if err := Save(s.keep.path, now.study()); err != nil {
		return err
	}
	s.mu.Lock()
	s.kept = now.as
	s.mu.Unlock()
	return nil
}

// takeAutosave finds the file for the session's unsaved work, and marks it as the
// session's own; s.disk is locked.
func (s *Session) takeAutosave() error {
	if s.keep.lock != nil {
		return nil
	}
	s.mu.Lock()
	first, keep := s.autosave, s.keep
	s.mu.Unlock()
	candidates := make([]string, 0, mostAutosaves+1)
	if keep.taken != nil {
		candidates = append(candidates, keep.taken.Path)
	}
	for n := range mostAutosaves {
		candidates = append(candidates, autosaveNumber(first, n+1))
	}
	for _, path := range candidates {
		lock, err := lockNow(LockPath(path))
		if err != nil {
			return noNewFile(path, err)
		}
		if lock == nil {
			continue
		}
		if keep.taken.isAt(path) || makeRoom(path, keep.others && path == first) {
			s.mu.Lock()
			s.keep = keeping{path: path, lock: lock, taken: keep.taken}
			s.mu.Unlock()
			return nil
		}
		if err := lock.Release(); err != nil {
			return err
		}
	}
	return fmt.Errorf("study: unsaved work cannot be kept, %d files of other unsaved work lie there: %s", mostAutosaves, first)
}

// makeRoom reports whether a session may write unsaved work to path: there is none, or
// some that was offered and could be moved aside.
func makeRoom(path string, offered bool) bool {
	if _, err := os.Lstat(path); err != nil {
		return errors.Is(err, fs.ErrNotExist)
	}
	if !offered {
		return false
	}
	aside := nextTo(path, EarlierEnding)
	if _, err := os.Lstat(aside); !errors.Is(err, fs.ErrNotExist) {
		return false
	}
	return os.Rename(path, aside) == nil
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

// Close ends the session and removes the file that kept its unsaved work: what is
// unsaved is given up. Work of others stays. Autosave does nothing from then on.
func (s *Session) Close() error {
	s.disk.Lock()
	defer s.disk.Unlock()
	s.mu.Lock()
	s.closed = true
	s.mu.Unlock()
	return s.dropKept()
}

// dropKept removes the unsaved work that the session keeps, or has taken up from
// an earlier one, with the mark beside it; s.disk is locked.
func (s *Session) dropKept() error {
	s.mu.Lock()
	path, lock, taken := s.keep.path, s.keep.lock, s.keep.taken
	s.keep = keeping{others: s.keep.others}
	s.mu.Unlock()
	var err error
	if lock != nil {
		err = errors.Join(removeAutosave(path), lock.Release())
	}
	if taken != nil && taken.Path != path {
		err = errors.Join(err, removeUnused(taken.Path, taken.isAt))
	}
	return err
}

// removeUnused removes an autosave file unless a session has marked it as its own, or
// it is not the one that is meant.
func removeUnused(path string, meant func(path string) bool) error {
	if _, err := os.Lstat(path); err != nil {
		return nil
	}
	lock, err := lockNow(LockPath(path))
	if lock == nil {
		return err
	}
	if meant(path) {
		err = removeAutosave(path)
	}
	return errors.Join(err, lock.Release())
}

func removeAutosave(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("study: the unsaved work that was kept cannot be removed, %w: %s", cause(err), path)
	}
	return nil
}
