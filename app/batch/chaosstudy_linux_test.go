package batch

import (
	"fmt"
	"os"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// A writer changes a study in a process of its own.
type writer struct {
	*process
	is     func(s *study.Study) bool // whether its change is there
	what   string
	killed bool
}

// writers has several processes change one study at once, some of which are killed. The
// study loads, and has the change of each that ended well.
func (w *chaosWorld) writers(t *testing.T) {
	t.Helper()
	if w.footageDamaged() {
		return
	}
	path := w.at("dive/shared.halocline")
	require.NoError(t, os.WriteFile(path, []byte(w.bytesOf(t, w.main)), 0o666))
	var all []*writer
	add := func(is func(s *study.Study) bool, args ...string) {
		all = append(all, &writer{process: startVerb(t, args...), is: is, what: fmt.Sprint(args)})
	}
	if w.rng.IntN(2) == 0 { // one that holds the lock for long
		add(func(*study.Study) bool { return true }, "proofs", path, "--matte", "skin", "--sweep", "soften=0:20:6", "--keep")
	}
	for i := range 2 + w.rng.IntN(3) {
		name := fmt.Sprintf("of writer %d", i)
		add(func(s *study.Study) bool { return hasMask(s, "skin", name) },
			"mask", path, "--matte", "skin", "--name", name, "--points", "1,1 90,2 50,90")
	}
	first := func(s *study.Study, n study.Number) float64 { return n.At(s.Clip.First) }
	grow, exposure := float64(5+w.rng.IntN(4)), float64(1+w.rng.IntN(5))/4
	add(func(s *study.Study) bool { return first(s, s.MatteNamed("skin").Edge.Grow) == grow },
		"edge", path, "--matte", "skin", "--grow", fmt.Sprint(grow))
	add(func(s *study.Study) bool { return first(s, s.Base.Exposure) == exposure },
		"base", path, "--exposure", fmt.Sprint(exposure))
	add(func(s *study.Study) bool { return s.MatteNamed("third") != nil },
		"fit", path, "--keep", w.at("keep.png"), "--drop", w.at("drop.png"), "--name", "third")
	for range w.rng.IntN(3) {
		time.Sleep(time.Duration(w.rng.IntN(200)) * time.Millisecond)
		k := all[w.rng.IntN(len(all))]
		k.killed = true
		_ = k.Process.Signal(syscall.SIGKILL)
		w.figures["writers of a study killed"]++
	}
	for _, k := range all {
		if err := k.Wait(); err != nil && !k.killed {
			require.Contains(t, k.errs.String(), "locked by", k.what)
			w.figures["writers of a study that found it locked"]++
		}
	}
	s, err := study.Load(path)
	require.NoError(t, err)
	for _, k := range all {
		if k.ProcessState.Success() {
			require.True(t, k.is(s), "%s ended with 0, and its change is lost", k.what)
			w.figures["changes of a study that are there"]++
		}
	}
	status, _, stderr := run(t, "edge", path, "--matte", "skin", "--soften", "2")
	require.Zero(t, status, "a dead process's lock is taken over: %s", stderr)
	require.NoFileExists(t, study.LockPath(path))
	require.NoError(t, os.Remove(path))
	w.figures["rounds of several writers of one study"]++
}

func hasMask(s *study.Study, matte, name string) bool {
	for _, m := range s.MatteNamed(matte).Masks {
		if m.Name == name {
			return true
		}
	}
	return false
}
