//go:build unix

package batch

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/export"
	"halocline/colour"
)

// mostUntilGone is how long after INT or TERM the program may still be there.
const mostUntilGone = 2 * time.Second

// hang is a script in place of a program: it holds a pipe open, starts another
// process that holds its output and that pipe, and ends for no signal that can be
// ignored.
const hang = "trap '' INT TERM HUP\nexec 9>%q\nsleep 600 &\necho $! >&9\nwait\n"

// A wrap makes scripts that stand in for programs, in a folder for the PATH.
type wrap struct {
	folder string
	held   *os.File // the pipe that scripts hold which hang, and what they start
}

func newWrap(t *testing.T) *wrap {
	t.Helper()
	folder := t.TempDir()
	pipe := filepath.Join(folder, "held")
	require.NoError(t, syscall.Mkfifo(pipe, 0o666))
	held, err := os.OpenFile(pipe, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	require.NoError(t, err)
	t.Cleanup(func() { _ = held.Close() })
	return &wrap{folder, held}
}

// hangs has a program hang, but for the calls whose first argument matches a
// pattern of the shell: they go to the real one.
func (w *wrap) hangs(t *testing.T, name, but string) {
	t.Helper()
	real, err := exec.LookPath(name)
	require.NoError(t, err)
	script := fmt.Sprintf("#!/bin/sh\ncase \"$*\" in %s) exec %q \"$@\";; esac\n"+hang, but, real, w.held.Name())
	require.NoError(t, os.WriteFile(filepath.Join(w.folder, name), []byte(script), 0o777))
}

// program starts the program itself as a child, with the scripts first on its PATH.
func (w *wrap) program(t *testing.T, said *strings.Builder, args ...string) *exec.Cmd {
	t.Helper()
	child := exec.Command(os.Args[0], args...)
	child.Env = append(os.Environ(), childMain+"=1", "PATH="+w.folder+":"+os.Getenv("PATH"))
	child.Stderr = said
	require.NoError(t, child.Start())
	return child
}

// awaitHang waits until a script hangs, and returns the process id of what it started.
func (w *wrap) awaitHang(t *testing.T) (id int) {
	t.Helper()
	line := make([]byte, 20)
	require.Eventually(t, func() bool {
		_ = w.held.SetReadDeadline(time.Now().Add(time.Second))
		n, _ := w.held.Read(line)
		id, _ = strconv.Atoi(strings.TrimSpace(string(line[:n])))
		return id > 0
	}, 20*time.Second, 5*time.Millisecond, "the script runs")
	return id
}

// assertNoneLeft asserts that no script, and nothing that one started, holds the pipe
// any more.
func (w *wrap) assertNoneLeft(t *testing.T) {
	t.Helper()
	_ = w.held.SetReadDeadline(time.Now().Add(time.Second))
	n, err := w.held.Read(make([]byte, 20))
	for n > 0 { // another script's word
		n, err = w.held.Read(make([]byte, 20))
	}
	assert.ErrorIs(t, err, io.EOF, "something that hung is left")
}

// endBy sends a signal to a child that is at work and returns how long it was there
// afterwards.
func endBy(t *testing.T, child *exec.Cmd, s syscall.Signal) time.Duration {
	t.Helper()
	sent := time.Now()
	require.NoError(t, child.Process.Signal(s))
	gone := make(chan struct{})
	go func() { _ = child.Wait(); close(gone) }()
	select {
	case <-gone:
	case <-time.After(4 * mostUntilGone):
		_ = child.Process.Kill()
		<-gone
		return 4 * mostUntilGone
	}
	return time.Since(sent)
}

// signals by turns.
func signalOf(i int) syscall.Signal { return []syscall.Signal{syscall.SIGINT, syscall.SIGTERM}[i%2] }

// A movie, a study of it, and what else verbs are given.
type movieBeach struct {
	beach
	movie, study string
}

func newMovieBeach(t *testing.T) movieBeach {
	t.Helper()
	needFFmpeg(t)
	b := movieBeach{beach: newBeach(t)}
	b.sequence(t, span(1, 12)...)
	b.movie = b.at("dive.mkv")
	text, err := exec.Command("ffmpeg", "-v", "error", "-framerate", "25", "-start_number", "1", "-i", b.at("dive/dive.%04d.png"),
		"-c:v", "ffv1", "-pix_fmt", "gbrp", b.movie).CombinedOutput()
	require.NoError(t, err, "%s", text)
	b.study = result[fitReport](t, "fit", b.movie, "--keep", b.keep, "--drop", b.drop, "--name", "skin").Study
	return b
}

// callsOf are calls of the verbs that read a movie.
func (b movieBeach) callsOf() map[string][]string {
	return map[string][]string{
		"info":       {b.movie},
		"rate":       {b.study, "25"},
		"base":       {b.study, "--exposure", "0.1"},
		"fit":        {b.study, "--keep", b.keep, "--name", "more"},
		"plane":      {b.study, "--matte", "skin", "--level", "12"}, // refused once the study is open
		"mask":       {b.study, "--matte", "skin", "--points", leftHalf},
		"join":       {b.study, "--matte", "skin", "--with", "skin", "--how", "add"}, // refused once the study is open
		"edge":       {b.study, "--matte", "skin", "--soften", "1"},
		"trial":      {b.study, "--matte", "skin", "--contrast", "1.1"},
		"cdl":        {b.study, "--matte", "skin", "--file", b.at("x.cc"), "--write"},
		"check":      {b.study},
		"follow":     {b.study},
		"separation": {b.movie, "--keep", b.keep, "--drop", b.drop},
		"export":     {b.study, "--out", b.at("mattes")},
		"proofs":     {b.study, "--matte", "skin"},
		"carry":      {b.study, b.at("other.mov")},
		"contact":    {b.study, "--out", b.at("contact.png")},
	}
}

// INT and TERM end every verb that reads movies within two seconds, whichever program
// of ffmpeg's hangs, when it is asked what, and whatever it has started itself;
// nothing of it is left running.
func TestSignalsEndVerbsWhoseProgramsHang(t *testing.T) {
	b := newMovieBeach(t)
	before, err := os.ReadFile(b.study)
	require.NoError(t, err)
	try := 0
	end := func(t *testing.T, w *wrap, args []string) {
		try++
		var said strings.Builder
		child := w.program(t, &said, args...)
		w.awaitHang(t)
		took := endBy(t, child, signalOf(try))
		assert.Less(t, took, mostUntilGone)
		assert.Equal(t, failed, child.ProcessState.ExitCode())
		assert.Equal(t, 1, strings.Count(said.String(), "\n"), "one line: %s", &said)
		assert.Contains(t, said.String(), "stopped")
		w.assertNoneLeft(t)
		after, err := os.ReadFile(b.study)
		require.NoError(t, err)
		require.Equal(t, before, after)
	}
	for verb, args := range b.callsOf() {
		t.Run(verb+", ffprobe hangs", func(t *testing.T) {
			w := newWrap(t)
			w.hangs(t, "ffprobe", "never")
			end(t, w, append([]string{verb}, args...))
		})
	}
	for verb, args := range map[string][]string{
		"info":   {b.movie},
		"check":  {b.study},
		"export": {b.study, "--out", b.at("mattes")},
	} {
		t.Run(verb+", ffmpeg hangs where it decodes", func(t *testing.T) {
			w := newWrap(t)
			w.hangs(t, "ffmpeg", "-version")
			end(t, w, append([]string{verb}, args...))
		})
	}
	t.Run("ffmpeg hangs where it tells its version", func(t *testing.T) {
		w := newWrap(t)
		w.hangs(t, "ffmpeg", "never")
		end(t, w, []string{"info", b.movie})
	})
	t.Run("ffprobe hangs where it lists packets", func(t *testing.T) {
		w := newWrap(t)
		w.hangs(t, "ffprobe", "*show_streams*")
		end(t, w, []string{"info", b.movie})
	})
}

// The verbs that read no movie end too, and so does an export whose movie is being
// made by a program that hangs.
func TestSignalsEndTheOtherVerbs(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	large := colour.NewPlane(4000, 3000)
	for i := range large.Pix {
		large.Pix[i] = float32(i%7) / 6
	}
	truth := writePNG(t, b.at("large.png"), func(w io.Writer) error { return export.EncodeGrey(w, large, 8) })
	require.NoError(t, os.Mkdir(b.at("waits"), 0o777))
	require.NoError(t, syscall.Mkfifo(b.at("waits/"+export.ManifestName), 0o666))
	calls := map[string][]string{
		"demo":    {b.at("demo")},
		"sample":  {b.at("sample"), "--size", "3840x2160", "--frames", "20"},
		"score":   {truth, "--truth", truth},
		"verify":  {b.at("waits")},
		"changes": {b.at("waits"), b.at("waits")},
	}
	covered := movieBeach{}.callsOf()
	for _, v := range verbs() {
		_, here := calls[v.name]
		_, there := covered[v.name]
		require.True(t, here || there, "%s is tried nowhere", v.name)
	}
	try := 0
	for verb, args := range calls {
		t.Run(verb, func(t *testing.T) {
			try++
			var said strings.Builder
			child := newWrap(t).program(t, &said, append([]string{verb}, args...)...)
			time.Sleep(400 * time.Millisecond)
			require.Less(t, endBy(t, child, signalOf(try)), mostUntilGone, "%s", &said)
		})
	}
	t.Run("export --movie", func(t *testing.T) {
		needFFmpeg(t)
		clip := result[fitReport](t, "fit", b.sequence(t, span(1, 3)...), "--keep", b.keep, "--drop", b.drop, "--name", "skin").Study
		w := newWrap(t)
		w.hangs(t, "ffmpeg", "-version")
		var said strings.Builder
		child := w.program(t, &said, "export", clip, "--out", b.at("movies"), "--movie")
		left := w.awaitHang(t)
		defer func() { _ = syscall.Kill(left, syscall.SIGKILL) }()
		require.Less(t, endBy(t, child, syscall.SIGTERM), mostUntilGone, "%s", &said)
	})
	require.FileExists(t, fit.Study)
}

// What does not end by itself is left when its grace is over, and no sooner.
func TestWorkThatDoesNotEndIsLeft(t *testing.T) {
	ctx, cancel := context.WithCancelCause(t.Context())
	var said strings.Builder
	forever := make(chan int)
	defer close(forever)
	cancel(fmt.Errorf("terminated"))
	require.Equal(t, failed, within(ctx, 20*time.Millisecond, &said, func() int { return <-forever }))
	require.Equal(t, "halocline-batch: stopped amid its work, which did not end: terminated\n", said.String())
	require.Equal(t, succeeded, within(ctx, time.Minute, &said, func() int { time.Sleep(10 * time.Millisecond); return succeeded }))
	require.Equal(t, misused, within(t.Context(), 0, &said, func() int { return misused }))
}
