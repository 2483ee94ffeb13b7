package study

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// LockPath returns the file beside a study's that keeps others from changing it.
// It lies beside the file itself where path is a symbolic link to it.
func LockPath(path string) string { return nextTo(behindLinks(path), lockEnding) }

const lockEnding = ".lock"

// An Owner is the process that a lock file names.
type Owner struct {
	Program string    `json:"program"`
	Host    string    `json:"host"`
	PID     int       `json:"pid"`
	Started string    `json:"started,omitempty"` // tells it from a later process of that number; "" where the system does not say
	Since   time.Time `json:"since"`             // it has the lock
}

// String names the process, its machine and since when it has the lock.
func (o Owner) String() string {
	return fmt.Sprintf("%s (process %d on %s, since %s)", o.Program, o.PID, o.Host, o.Since.Local().Format("2006-01-02 15:04:05"))
}

// thisProcess is the owner of a lock that is taken now.
func thisProcess() Owner {
	return Owner{filepath.Base(os.Args[0]), hostName(), os.Getpid(), thisStart(), time.Now().Truncate(time.Second)}
}

var thisStart = sync.OnceValue(func() string { return startOf(os.Getpid()) })

func hostName() string {
	name, err := os.Hostname()
	if err != nil {
		return "a machine without a name"
	}
	return name
}

// A Lock keeps other processes from changing a study, as long as they ask for its
// lock too. It is a file with the name of its owner, made such that only one
// process can make it.
//
// A lock whose owner has died on this machine is taken over. The system tells who is
// alive: a living owner holds the file open, on Unix with flock, on Windows so that
// nobody can remove it. Linux and Windows also tell a process from a later one with
// the same number: there the named process itself must be gone. Machines are told
// apart by name. The lock of another machine is never taken over, nor one on a file
// system without flock.
type Lock struct {
	path string
	file *os.File // open as long as the lock is held
}

// A LockedError says that somebody else has a study's lock. It is an ErrLocked.
type LockedError struct {
	Path  string // what is locked: the study's file
	Lock  string // the lock file
	Owner *Owner // nil where the lock file does not say
	kind  holding
}

// ErrLocked is in the chain of every LockedError.
var ErrLocked = errors.New("locked by another")

// Is reports whether target is ErrLocked.
func (e *LockedError) Is(target error) bool { return target == ErrLocked }

// Error says who has the lock and what to do, before the file's name.
func (e *LockedError) Error() string {
	switch {
	case e.kind == foreign:
		return fmt.Sprintf("study: not changed, for its lock file holds something else than a lock: move %s away by hand", e.Lock)
	case e.Owner == nil:
		return fmt.Sprintf("study: not changed, for its lock file does not say whose it is: where nothing works on %s, remove %s by hand", filepath.Base(e.Path), e.Lock)
	case e.kind == elsewhere:
		return fmt.Sprintf("study: locked by %s: wait until that has ended; if that machine is off, remove %s by hand", e.Owner, e.Lock)
	case e.kind == uncertain:
		return fmt.Sprintf("study: locked by %s, and this folder's file system does not tell whether that still runs: if it does not, remove %s by hand", e.Owner, e.Lock)
	}
	return fmt.Sprintf("study: locked by %s: wait until that has ended, or end it, then try again: %s", e.Owner, e.Path)
}

// lockWait is how long Acquire waits for another process to end its change: most
// verbs take well under a second, a fit of many samples a few.
const lockWait = 10 * time.Second

// lockPoll is how often a lock that is held is looked at.
const lockPoll = 20 * time.Millisecond

// Acquire takes the lock of the study file at path, which need not exist. Take it
// before the study is read, and release it after it is written. While another
// process has it, Acquire waits up to ten seconds; then it returns a *LockedError.
// It ends at once when ctx ends. A file that cannot be written there, or a folder
// that takes no new file, is an error at once.
func Acquire(ctx context.Context, path string) (*Lock, error) {
	return acquire(ctx, path, lockWait)
}

func acquire(ctx context.Context, path string, wait time.Duration) (*Lock, error) {
	if _, _, err := replaceable(path); err != nil {
		return nil, cannotWrite(path, err)
	}
	file := LockPath(path)
	var w watched
	begun := time.Now()
	for {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("study: stopped while it waited for the lock of %s: %w", path, err)
		}
		l, by, err := tryLock(file, &w)
		switch {
		case err != nil && !(mayPass(err) && time.Since(begun) < passesIn):
			return nil, noNewFile(path, err)
		case err != nil:
		case l != nil:
			return l, nil
		case by.kind == foreign || time.Since(begun) >= wait: // what is no lock does not go by itself
			return nil, &LockedError{Path: path, Lock: file, Owner: by.owner, kind: by.kind}
		}
		select {
		case <-ctx.Done():
		case <-time.After(lockPoll):
		}
	}
}

// passesIn is how long a refusal is borne that may pass (mayPass).
const passesIn = time.Second

// A holding says how a lock file is held.
type holding int

const (
	free      holding = iota // there is none, or its owner has died: claim may remove it
	here                     // by a process of this machine
	elsewhere                // by a process of another machine
	uncertain                // its owner may have died: the file system does not tell
	torn                     // by a process that has not written its name, or died before it had
	foreign                  // it is no lock file
)

type holder struct {
	kind  holding
	owner *Owner
}

// watched is a torn lock file that has been seen, and since when.
type watched struct {
	info  os.FileInfo
	since time.Time
}

// tornFor is how long a lock file is watched in which no name is, before its owner
// is taken for dead: writing the name takes much less than a millisecond.
const tornFor = time.Second

// isOld tells of a torn file whether it has been watched for long enough.
func (w *watched) isOld(path string) bool {
	info, err := os.Lstat(path)
	if err != nil {
		return false
	}
	if w.info == nil || !os.SameFile(w.info, info) {
		w.info, w.since = info, time.Now()
		return false
	}
	return time.Since(w.since) >= tornFor
}

// tryLock takes the lock at path, or tells who holds it.
func tryLock(path string, w *watched) (*Lock, holder, error) {
	name, err := json.Marshal(thisProcess()) // before there is a file that waits for it
	if err != nil {
		return nil, holder{}, err
	}
	for {
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil {
			l, err := own(path, f, append(name, '\n'))
			if l != nil || err != nil {
				return l, holder{}, err
			}
			continue
		}
		if _, there := os.Lstat(path); there != nil && !errors.Is(err, fs.ErrExist) {
			return nil, holder{}, err
		}
		by := lookAt(path)
		if by.kind != free && !(by.kind == torn && w.isOld(path)) {
			return nil, by, nil
		}
		switch removed, told := claim(path, by.kind); {
		case !told:
			return nil, holder{uncertain, by.owner}, nil
		case !removed: // it is not dead, or another has been faster
			return nil, holder{here, by.owner}, nil
		}
	}
}

// lockNow takes the lock at path, or returns nil where somebody holds it. It waits only
// while a lock is torn.
func lockNow(path string) (*Lock, error) {
	var w watched
	for {
		l, by, err := tryLock(path, &w)
		if l != nil || err != nil || by.kind != torn {
			return l, err
		}
		time.Sleep(lockPoll)
	}
}

// own writes this process's name into a new lock file. It returns nil where somebody
// took the file for a dead process's before the name was in it.
func own(path string, f *os.File, name []byte) (*Lock, error) {
	l := &Lock{path, f}
	holdOpen(f)
	if _, err := f.Write(name); err != nil {
		l.Release()
		return nil, err
	}
	if !sameAs(f, path) {
		f.Close()
		return nil, nil
	}
	return l, nil
}

// Release gives the lock up. A second call does nothing.
func (l *Lock) Release() error {
	if l == nil || l.file == nil {
		return nil
	}
	f := l.file
	l.file = nil
	if err := drop(f, l.path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("study: the lock cannot be removed, remove it by hand: %w", err)
	}
	return nil
}

// sameAs reports whether an open file is the one that has the name.
func sameAs(f *os.File, path string) bool {
	open, err := f.Stat()
	named, err2 := os.Lstat(path)
	return err == nil && err2 == nil && os.SameFile(open, named)
}

// longestLock is more than any lock file has, in bytes.
const longestLock = 1 << 16

// lookAt tells who holds the lock at path, by what is written in it. What it calls
// free claim must confirm.
func lookAt(path string) holder {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return holder{kind: free}
	}
	if err != nil {
		return holder{kind: uncertain}
	}
	defer f.Close()
	return heldBy(f)
}

// heldBy is lookAt for a lock file that is open at its beginning.
func heldBy(f *os.File) holder {
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return holder{kind: foreign}
	}
	text, err := io.ReadAll(io.LimitReader(f, longestLock))
	if err != nil {
		return holder{kind: uncertain}
	}
	return judge(text)
}

// judge tells who holds a lock by its text. One that is empty, all zeros (as after a
// power cut) or cut off is torn.
func judge(text []byte) holder {
	var o Owner
	if err := json.Unmarshal(text, &o); err != nil || o.PID <= 0 || o.Host == "" {
		if len(bytes.Trim(text, "\x00")) == 0 || err != nil && isCutOff(string(text)) {
			return holder{kind: torn}
		}
		return holder{kind: foreign}
	}
	switch {
	case !strings.EqualFold(o.Host, hostName()):
		return holder{elsewhere, &o}
	case o.Started != "" && startOf(o.PID) == o.Started:
		return holder{here, &o}
	}
	return holder{free, &o}
}

// isCutOff tells of what is no JSON whether it is the beginning of a lock's text.
func isCutOff(text string) bool {
	const begin = `{"program":`
	return strings.HasPrefix(text, begin) || strings.HasPrefix(begin, text)
}

// inUse returns who holds the lock at path, nil for nobody: a process of this
// machine that lives, or one of another, of which nobody can tell. A lock that cannot
// be read names nobody, and counts as free.
func inUse(path string) *Owner {
	by := lookAt(path)
	if by.owner == nil {
		return nil
	}
	if by.kind == free {
		if dead, told := ownerDead(path); dead || !told && !isRunning(by.owner.PID) {
			return nil
		}
	}
	return by.owner
}
