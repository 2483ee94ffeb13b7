package study

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// childActs names what a child process does with the study of childPath.
const (
	childActs = "HALOCLINE_TEST_CHILD"
	childPath = "HALOCLINE_TEST_CHILD_PATH"
)

// TestChild is not a test but what processes of other tests do.
func TestChild(t *testing.T) {
	path := os.Getenv(childPath)
	switch os.Getenv(childActs) {
	case "":
		t.Skip("only as a process of another test")
	case "hold": // a lock, until it is killed or its input ends
		_, err := Acquire(t.Context(), path)
		require.NoError(t, err)
		fmt.Println("ready")
		io.Copy(io.Discard, os.Stdin)
	case "count":
		addUp(t, path)
	case "keep": // unsaved work, until it is killed or its input ends
		s, err := Load(path)
		require.NoError(t, err)
		session := NewSession(s, path)
		require.NoError(t, session.Edit("expose", expose(2)))
		require.NoError(t, session.Autosave())
		fmt.Println("ready")
		io.Copy(io.Discard, os.Stdin)
		require.NoError(t, session.Close())
	case "write": // half a file, until it is killed
		WriteBeside(path, func(w io.Writer) error {
			fmt.Println("ready")
			_, err := io.Copy(io.Discard, os.Stdin)
			return errors.Join(err, errors.New("half"))
		})
	}
}

// A child is a process that does one of TestChild's acts.
type child struct {
	*exec.Cmd
	in    io.Closer
	ended bool
}

// spawn starts a child, and waits until it says that it is ready if it does.
func spawn(t *testing.T, acts, path string, waits bool) *child {
	t.Helper()
	c := &child{Cmd: exec.Command(os.Args[0], "-test.run=^TestChild$")}
	c.Env = append(os.Environ(), childActs+"="+acts, childPath+"="+path)
	c.Stderr = os.Stderr
	in, err := c.StdinPipe()
	require.NoError(t, err)
	c.in = in
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	t.Cleanup(func() { c.kill() })
	if waits {
		line, err := bufio.NewReader(out).ReadString('\n')
		require.NoError(t, err)
		require.Equal(t, "ready\n", line)
	}
	return c
}

func (c *child) kill() {
	if !c.ended {
		c.ended = true
		c.Process.Kill()
		c.Wait()
	}
}

// end lets a child end by itself.
func (c *child) end(t *testing.T) {
	t.Helper()
	c.in.Close()
	c.ended = true
	require.NoError(t, c.Wait())
}

// counts is how often each process of a test adds one to a number in a file.
const counts = 20

// addUp adds to the number in the file beside the study, under the study's lock.
func addUp(t *testing.T, path string) {
	for range counts {
		l, err := acquire(t.Context(), path, time.Minute)
		require.NoError(t, err)
		alone, err := os.OpenFile(path+".alone", os.O_CREATE|os.O_EXCL, 0o600)
		require.NoError(t, err, "two have the lock")
		text, err := os.ReadFile(path + ".number")
		require.NoError(t, err)
		n, err := strconv.Atoi(string(text))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path+".number", []byte(strconv.Itoa(n+1)), 0o600))
		require.NoError(t, alone.Close())
		require.NoError(t, os.Remove(alone.Name()))
		require.NoError(t, l.Release())
	}
}

// Processes that ask for a lock at once have it one by one; so do those that find its
// owner dead at once, again and again.
func TestOneAtATimeHasTheLock(t *testing.T) {
	for range 5 {
		path := filepath.Join(t.TempDir(), "a"+Ending)
		require.NoError(t, os.WriteFile(path+".number", []byte("0"), 0o600))
		spawn(t, "hold", path, true).kill()
		require.FileExists(t, LockPath(path))
		const many = 6
		var all []*child
		for range many {
			all = append(all, spawn(t, "count", path, false))
		}
		for _, c := range all {
			c.end(t)
		}
		n, err := os.ReadFile(path + ".number")
		require.NoError(t, err)
		require.Equal(t, strconv.Itoa(many*counts), string(n))
		require.NoFileExists(t, LockPath(path))
	}
}

// A lock that a living process has is waited for, then said to be its.
func TestAHeldLockNamesItsOwner(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	holding := spawn(t, "hold", path, true)
	begun := time.Now()
	_, err := acquire(t.Context(), path, 300*time.Millisecond)
	assert.GreaterOrEqual(t, time.Since(begun), 300*time.Millisecond)
	require.ErrorIs(t, err, ErrLocked)
	var locked *LockedError
	require.ErrorAs(t, err, &locked)
	host, _ := os.Hostname()
	assert.Equal(t, holding.Process.Pid, locked.Owner.PID)
	assert.Equal(t, host, locked.Owner.Host)
	assert.WithinDuration(t, time.Now(), locked.Owner.Since, time.Minute)
	assert.Equal(t, fmt.Sprintf("study: locked by %s (process %d on %s, since %s): wait until that has ended, or end it, then try again: %s",
		filepath.Base(os.Args[0]), holding.Process.Pid, host, locked.Owner.Since.Local().Format("2006-01-02 15:04:05"), path), err.Error())

	done := make(chan error, 1)
	go func() {
		l, err := Acquire(t.Context(), path)
		done <- errors.Join(err, l.Release())
	}()
	time.Sleep(100 * time.Millisecond)
	holding.kill()
	select {
	case err := <-done:
		require.NoError(t, err, "the dead one's lock is taken over")
	case <-time.After(5 * time.Second):
		require.Fail(t, "the dead one's lock is waited for")
	}
	assert.NoFileExists(t, LockPath(path))
}

func TestWaitingForALockEndsAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	l, err := Acquire(t.Context(), path)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(50*time.Millisecond, cancel)
	begun := time.Now()
	_, err = Acquire(ctx, path)
	assert.ErrorIs(t, err, context.Canceled)
	assert.ErrorContains(t, err, "study: stopped while it waited for the lock of "+path)
	assert.Less(t, time.Since(begun), 5*time.Second)
	require.NoError(t, l.Release())
	require.NoError(t, l.Release(), "a second time does nothing")
	_, err = Acquire(ctx, path)
	assert.ErrorIs(t, err, context.Canceled)
	assert.NoFileExists(t, LockPath(path))
}

// writeLock puts a text into the lock file of a study.
func writeLock(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(LockPath(path), []byte(text), 0o666))
}

func ownerText(t *testing.T, change func(*Owner)) string {
	t.Helper()
	o := thisProcess()
	change(&o)
	text, err := json.Marshal(o)
	require.NoError(t, err)
	return string(text) + "\n"
}

// A lock of another machine is never taken over: nobody can tell whether its owner
// lives.
func TestAnotherMachinesLockStays(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	text := ownerText(t, func(o *Owner) { o.Host, o.PID, o.Started = "reef-7", 4, "" })
	writeLock(t, path, text)
	_, err := acquire(t.Context(), path, 2*tornFor)
	require.ErrorIs(t, err, ErrLocked)
	assert.ErrorContains(t, err, "(process 4 on reef-7, since ")
	assert.ErrorContains(t, err, "if that machine is off, remove "+LockPath(path)+" by hand")
	assert.NotContains(t, err.Error(), "\n")
	got, err := os.ReadFile(LockPath(path))
	require.NoError(t, err)
	assert.Equal(t, text, string(got))
}

// A lock whose owner's number belongs to another process by now is a dead one's.
func TestALaterProcessOfTheSameNumberHasNoLock(t *testing.T) {
	if startOf(os.Getpid()) == "" {
		t.Skip("this system does not tell when a process began")
	}
	path := filepath.Join(t.TempDir(), "a"+Ending)
	writeLock(t, path, ownerText(t, func(o *Owner) { o.Started += "1" }))
	l, err := acquire(t.Context(), path, 0)
	require.NoError(t, err)
	require.NoError(t, l.Release())
	writeLock(t, path, ownerText(t, func(*Owner) {}))
	_, err = acquire(t.Context(), path, 50*time.Millisecond)
	assert.ErrorIs(t, err, ErrLocked, "the process that is named lives")
}

// A lock file without a name in it is one whose owner is about to write that, or died
// before: it is watched for a while, then taken over. What is no lock is left alone.
func TestTornAndForeignLocks(t *testing.T) {
	for name, text := range map[string]string{"empty": "", "zeros": strings.Repeat("\x00", 150), "cut off": `{"program":"halocl`, "cut off early": `{"pro`} {
		t.Run(name, func(t *testing.T) {
			t.Parallel() // it waits, for the most part
			path := filepath.Join(t.TempDir(), "a"+Ending)
			writeLock(t, path, text)
			_, err := acquire(t.Context(), path, tornFor/2)
			require.ErrorIs(t, err, ErrLocked)
			assert.EqualError(t, err, "study: not changed, for its lock file does not say whose it is: where nothing works on a.halocline, remove "+LockPath(path)+" by hand")
			l, err := acquire(t.Context(), path, 5*tornFor)
			require.NoError(t, err)
			require.NoError(t, l.Release())
		})
	}
	for name, text := range map[string]string{"words": "do not touch", "JSON": `{"pid":12}`, "a list": `[1]`} {
		t.Run(name, func(t *testing.T) {
			t.Parallel() // it waits, for the most part
			path := filepath.Join(t.TempDir(), "a"+Ending)
			writeLock(t, path, text)
			begun := time.Now()
			_, err := acquire(t.Context(), path, 3*tornFor/2)
			require.ErrorIs(t, err, ErrLocked)
			assert.Less(t, time.Since(begun), tornFor, "there is nothing to wait for")
			assert.EqualError(t, err, "study: not changed, for its lock file holds something else than a lock: move "+LockPath(path)+" away by hand")
			got, err := os.ReadFile(LockPath(path))
			require.NoError(t, err)
			assert.Equal(t, text, string(got))
		})
	}
	path := filepath.Join(t.TempDir(), "a"+Ending)
	require.NoError(t, os.Mkdir(LockPath(path), 0o755))
	_, err := acquire(t.Context(), path, 0)
	assert.ErrorContains(t, err, "holds something else than a lock")
}

// A lock that somebody removed by hand, and that another has by now, is not removed by
// the one that had it.
func TestReleaseLeavesTheNextOnesLock(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no open file can be removed on this system")
	}
	path := filepath.Join(t.TempDir(), "a"+Ending)
	first, err := Acquire(t.Context(), path)
	require.NoError(t, err)
	require.NoError(t, os.Remove(LockPath(path)))
	second, err := Acquire(t.Context(), path)
	require.NoError(t, err)
	require.NoError(t, first.Release())
	assert.FileExists(t, LockPath(path))
	require.NoError(t, second.Release())
	assert.NoFileExists(t, LockPath(path))
}

// Where a study cannot be written that is said before anybody waits or works.
func TestNoLockWhereNothingCanBeWritten(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a"+Ending)
	_, err := Acquire(t.Context(), filepath.Join(folder, "none", "a"+Ending))
	assert.ErrorIs(t, err, fs.ErrNotExist)
	assert.ErrorContains(t, err, "study: cannot write, its folder takes no new file")
	if runtime.GOOS == "windows" {
		return
	}
	require.NoError(t, os.WriteFile(path, nil, 0o444))
	_, err = Acquire(t.Context(), path)
	assert.EqualError(t, err, "study: cannot write, it is read-only: "+path)
	assert.NoFileExists(t, LockPath(path))
	_, err = Acquire(t.Context(), folder)
	assert.EqualError(t, err, "study: cannot write, it is a folder: "+folder)
}

// Two names of one file have one lock.
func TestALinksLockIsTheFiles(t *testing.T) {
	folder, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	real, link := filepath.Join(folder, "real"+Ending), filepath.Join(folder, "link"+Ending)
	require.NoError(t, os.WriteFile(real, nil, 0o666))
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	assert.Equal(t, real+".lock", LockPath(real))
	assert.Equal(t, LockPath(real), LockPath(link))
}

// What a killed process left half written goes with the next save of the same file;
// what a living one writes, or what is meant for another file, stays.
func TestPartsOfTheDeadGo(t *testing.T) {
	folder := t.TempDir()
	path, other := filepath.Join(folder, "a"+Ending), filepath.Join(folder, "b"+Ending)
	parts := func() int {
		found, err := filepath.Glob(filepath.Join(folder, PartPattern))
		require.NoError(t, err)
		return len(found)
	}
	spawn(t, "write", path, true).kill()
	spawn(t, "write", other, true).kill()
	living := spawn(t, "write", path, true)
	require.Equal(t, 3, parts())
	require.NoError(t, Save(path, transect(t)))
	assert.Equal(t, 2, parts(), "the living one's, and the other file's")
	living.kill()
	require.NoError(t, Save(path, transect(t)))
	require.NoError(t, Save(other, transect(t)))
	assert.Zero(t, parts())
}
