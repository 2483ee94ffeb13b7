//go:build unix

package batch

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// A process is a verb that runs beside the test, and what it says.
type process struct {
	*exec.Cmd
	out, errs bytes.Buffer
}

func startVerb(t *testing.T, args ...string) *process {
	t.Helper()
	p := &process{Cmd: exec.Command(os.Args[0])}
	p.Env = append(os.Environ(), childVerb+"="+strings.Join(args, "\n"))
	p.Stdout, p.Stderr = &p.out, &p.errs
	require.NoError(t, p.Start())
	t.Cleanup(func() { p.Process.Kill() })
	return p
}

// fitted is a study of the beach with one matte, skin.
func fitted(t *testing.T) (beach, string) {
	t.Helper()
	b := newBeach(t)
	return b, result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin").Study
}

// Verbs that change a study at once all have their change in it.
func TestVerbsAtOnceKeepAllTheirChanges(t *testing.T) {
	_, path := fitted(t)
	var all []*process
	for i := range 8 {
		all = append(all, startVerb(t, "mask", path, "--matte", "skin", "--points", "1,1 90,2 50,90", "--name", fmt.Sprintf("mask %d", i)))
	}
	all = append(all,
		startVerb(t, "edge", path, "--matte", "skin", "--soften", "3"),
		startVerb(t, "trial", path, "--matte", "skin", "--slope", "1.2"),
		startVerb(t, "base", path, "--exposure", "0.5"))
	for _, p := range all {
		require.NoError(t, p.Wait(), p.errs.String())
	}
	s, err := study.Load(path)
	require.NoError(t, err)
	m := s.MatteNamed("skin")
	var names []string
	for _, mask := range m.Masks {
		names = append(names, mask.Name)
	}
	assert.ElementsMatch(t, []string{"mask 0", "mask 1", "mask 2", "mask 3", "mask 4", "mask 5", "mask 6", "mask 7"}, names)
	assert.Equal(t, 3.0, m.Edge.Soften.At(s.Clip.First))
	assert.Equal(t, 0.5, s.Base.Exposure.At(s.Clip.First))
	assert.True(t, m.Trial.At(s.Clip.First).Grades())
	assert.NoFileExists(t, study.LockPath(path))
}

// Of two that make a study of the same picture one has it; the other says so.
func TestOnePictureGetsOneStudy(t *testing.T) {
	b := newBeach(t)
	var all []*process
	for range 4 {
		all = append(all, startVerb(t, "base", b.picture, "--exposure", "0.5"))
	}
	made := 0
	for _, p := range all {
		if p.Wait() == nil {
			made++
			continue
		}
		assert.Contains(t, p.errs.String(), "dive.0007.halocline exists: give that study instead of the picture")
	}
	assert.Equal(t, 1, made)
}

// long starts a verb that works for a while on a study it has locked.
func long(t *testing.T, path string) *process {
	t.Helper()
	p := startVerb(t, "proofs", path, "--matte", "skin", "--sweep", "soften=0:20:24", "--keep")
	require.Eventually(t, func() bool {
		info, err := os.Stat(study.LockPath(path))
		return err == nil && info.Size() > 0
	}, 20*time.Second, time.Millisecond)
	return p
}

// A verb that is asked to end takes its lock away; the lock of one that was killed is
// taken over.
func TestVerbsThatEndEarlyLeaveNoLock(t *testing.T) {
	folder := t.TempDir()
	result[sampleReport](t, "sample", folder, "--size", "960x540")
	path := filepath.Join(folder, "sample.halocline")
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, asked := range []os.Signal{syscall.SIGTERM, os.Interrupt} {
		p := long(t, path)
		require.NoError(t, p.Process.Signal(asked))
		var exit *exec.ExitError
		require.ErrorAs(t, p.Wait(), &exit, "it was not done yet")
		assert.Equal(t, failed, exit.ExitCode(), p.errs.String())
		assert.NoFileExists(t, study.LockPath(path))
	}
	p := long(t, path)
	require.NoError(t, p.Process.Kill())
	p.Wait()
	assert.FileExists(t, study.LockPath(path))
	now, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(before), string(now))
	begun := time.Now()
	result[edgeResult](t, "edge", path, "--matte", "skin", "--soften", "3")
	assert.Less(t, time.Since(begun), 5*time.Second)
	assert.NoFileExists(t, study.LockPath(path))
}

// Verbs that only read do not wait for one that changes the study, nor lock it.
func TestReadingVerbsTakeNoLock(t *testing.T) {
	b, path := fitted(t)
	l, err := study.Acquire(t.Context(), path)
	require.NoError(t, err)
	defer l.Release()
	for _, args := range [][]string{
		{"info", path}, {"base", path}, {"trial", path, "--matte", "skin"}, {"export", path, "--out", b.at("out")},
		{"check", path, "--matte", "skin"}, {"cdl", path, "--file", b.at("a.cc"), "--write"},
		{"proofs", path, "--matte", "skin", "--sweep", "soften=0:2:3"},
	} {
		begun := time.Now()
		status, _, errs := run(t, args...)
		assert.Zero(t, status, "%v: %s", args, errs)
		assert.NotContains(t, errs, "locked", args)
		assert.Less(t, time.Since(begun), 8*time.Second, args)
	}
}

// A study that cannot be changed where it lies is said to be so before any work.
func TestReadOnlyStudiesAreToldEarly(t *testing.T) {
	_, path := fitted(t)
	require.NoError(t, os.Chmod(path, 0o444))
	status, _, errs := run(t, "edge", path, "--matte", "no such matte", "--soften", "3")
	assert.Equal(t, failed, status)
	assert.Equal(t, "halocline-batch: edge: study: cannot write, it is read-only: "+path+"\n", errs)
}

// The demo and the sample do not write over a study that somebody has changed since
// they began.
func TestAScenesStudyThatWasChangedStays(t *testing.T) {
	made, err := makeTake(t.Context(), t.TempDir(), "demo", 1, size{160, 90}, 1)
	require.NoError(t, err)
	require.NoError(t, made.save(t.Context()))
	require.NoError(t, made.save(t.Context()), "nobody has changed it")
	s, err := study.Load(made.path)
	require.NoError(t, err)
	s.Mattes[0].Note = "mine"
	require.NoError(t, study.Save(made.path, s))
	assert.ErrorContains(t, made.save(t.Context()), "was changed since the scene was written there")
	s, err = study.Load(made.path)
	require.NoError(t, err)
	assert.Equal(t, "mine", s.Mattes[0].Note)
}
