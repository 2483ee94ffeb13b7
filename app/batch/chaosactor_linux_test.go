package batch

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A chaosJob is what one export is asked to write.
type chaosJob struct {
	study     string
	mattes    []string
	from, to  int // frames; all of them where to is 0
	part, of  int // of shards; of is 0 for no shard
	skipBad   bool
	adopt     bool
	overwrite bool
	workers   int
}

func (j chaosJob) args(out string) []string {
	args := []string{"export", j.study, "--out", out, "--progress", "json", "--workers", fmt.Sprint(j.workers)}
	for _, m := range j.mattes {
		args = append(args, "--matte", m)
	}
	if j.to > 0 {
		args = append(args, "--frames", fmt.Sprintf("%d-%d", j.from, j.to))
	}
	if j.of > 0 {
		args = append(args, "--shard", fmt.Sprintf("%d/%d", j.part, j.of))
	}
	for flag, on := range map[string]bool{"--skip-bad": j.skipBad, "--adopt": j.adopt, "--overwrite": j.overwrite} {
		if on {
			args = append(args, flag)
		}
	}
	return args
}

// names are the pictures that a job plans, and those of them that are its shard's, of
// the frames that are there.
func (j chaosJob) names(there []int) (planned, own []string) {
	frames := slices.DeleteFunc(slices.Clone(there), func(n int) bool { return j.to > 0 && (n < j.from || n > j.to) })
	list := func(frames []int) (names []string) {
		for _, n := range frames {
			for _, m := range j.mattes {
				names = append(names, fmt.Sprintf("%s/dive-%s.%06d.png", m, m, n))
			}
		}
		return names
	}
	part := frames
	if j.of > 0 {
		part = frames[j.part*len(frames)/j.of : (j.part+1)*len(frames)/j.of]
	}
	return list(frames), list(part)
}

// An actor is an export in a process of its own.
type actor struct {
	chaosJob
	child        *exec.Cmd
	log          string // what it says on its standard error
	settings     string // what its study's file held, "" where that changed while it ran
	planned, own []string
	done         chan struct{} // closed when it has ended
	ended        time.Time     // set before that
	unfinished   time.Time     // when it surely had not told of its last file yet
	excused      bool          // something befell the folder after it had looked for the last time
	asked        bool          // it was killed or asked to end
}

func (w *chaosWorld) start(t *testing.T, j chaosJob) *actor {
	t.Helper()
	w.logs++
	a := &actor{chaosJob: j, log: w.at(fmt.Sprintf("log-%d", w.logs)), done: make(chan struct{}), settings: w.bytesOf(t, j.study)}
	a.planned, a.own = j.names(w.framesThere())
	said, err := os.Create(a.log)
	require.NoError(t, err)
	defer said.Close()
	a.child = exec.Command(os.Args[0], j.args(w.out)...)
	a.child.Env = append(os.Environ(), childMain+"=1")
	a.child.Stderr = said
	a.unfinished = time.Now()
	require.NoError(t, a.child.Start())
	go func() {
		_ = a.child.Wait()
		a.ended = time.Now()
		close(a.done)
	}()
	w.tell("start %s", strings.Join(a.child.Args[1:], " "))
	return a
}

func (a *actor) running() bool {
	select {
	case <-a.done:
		return false
	default:
		return true
	}
}

// told is how many files the export has told of, and whether those were all.
func (a *actor) told() (files int, all bool) {
	now := time.Now()
	text, _ := os.ReadFile(a.log)
	for line := range bytes.Lines(text) {
		var p progressLine
		if json.Unmarshal(line, &p) == nil && p.Total > 0 {
			files++
			all = all || p.Done == p.Total
		}
	}
	if !all && a.running() {
		a.unfinished = now
	}
	return files, all
}

// status is the exit status of an export that has ended, -1 for one that a signal ended.
func (a *actor) status() int { return a.child.ProcessState.ExitCode() }

func (a *actor) said() string {
	text, _ := os.ReadFile(a.log)
	var own []string
	for line := range strings.Lines(string(text)) {
		if !strings.HasPrefix(line, "{") {
			own = append(own, strings.TrimSpace(line))
		}
	}
	return strings.Join(own, "; ")
}

// pause stops all that run, does something, and lets them go on: nothing is done amid it.
// Those that had told of all their files by then are excused.
func pause(t *testing.T, all []*actor, do func()) {
	t.Helper()
	for _, a := range all {
		if a.running() {
			_ = a.child.Process.Signal(syscall.SIGSTOP)
		}
	}
	for _, a := range all {
		require.Eventually(t, func() bool { return !a.running() || stopped(a.child.Process.Pid) }, 10*time.Second, time.Millisecond)
		if _, everything := a.told(); everything || !a.running() {
			a.excused = true
		}
	}
	do()
	for _, a := range all {
		if a.running() {
			_ = a.child.Process.Signal(syscall.SIGCONT)
		}
	}
}

// stopped reports whether a process is stopped (man 5 proc_pid_stat, the third field).
func stopped(pid int) bool {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return true
	}
	_, rest, _ := strings.Cut(string(stat), ") ")
	return strings.HasPrefix(rest, "T") || strings.HasPrefix(rest, "Z") || strings.HasPrefix(rest, "X")
}
