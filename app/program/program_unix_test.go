//go:build unix

package program

import (
	"bytes"
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A shell runs a script that may hold descriptor 9, the write end of a pipe whose
// read end is returned: it is at its end when all that held it are gone.
func shell(t *testing.T, ctx context.Context, script string) (*exec.Cmd, *os.File) {
	t.Helper()
	pipe := filepath.Join(t.TempDir(), "held")
	require.NoError(t, syscall.Mkfifo(pipe, 0o666))
	held, err := os.OpenFile(pipe, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	require.NoError(t, err)
	t.Cleanup(func() { _ = held.Close() })
	cmd := Command(ctx, "/bin/sh", "-c", script, "sh", pipe)
	cmd.Stdout = new(bytes.Buffer) // a pipe, which what is started holds too
	return cmd, held
}

// deaf ignores signals, as does what it starts; it writes to its pipe when all runs.
const deaf = `trap '' INT TERM HUP; exec 9>"$1"; sleep 600 & echo runs >&9; `

func awaitRunning(t *testing.T, held *os.File) {
	t.Helper()
	require.Eventually(t, func() bool {
		n, _ := held.Read(make([]byte, 10))
		return n > 0
	}, 10*time.Second, time.Millisecond)
}

func assertGone(t *testing.T, held *os.File) {
	t.Helper()
	require.NoError(t, held.SetReadDeadline(time.Now().Add(5*time.Second)))
	_, err := held.Read(make([]byte, 1))
	assert.Equal(t, io.EOF, err, "nothing holds the pipe")
}

func TestACommandEndsWithAllThatItStarted(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cmd, held := shell(t, ctx, deaf+"wait")
	done := make(chan error, 1)
	go func() { done <- Run(cmd) }()
	awaitRunning(t, held)
	cancel()
	select {
	case err := <-done:
		require.Error(t, err)
	case <-time.After(5 * time.Second):
		t.Fatal("it goes on")
	}
	assertGone(t, held)
}

// What a program leaves behind when it ends by itself is not waited for, and ended.
func TestWhatAProgramLeavesBehind(t *testing.T) {
	cmd, held := shell(t, t.Context(), deaf+"exit 0")
	began := time.Now()
	require.ErrorIs(t, Run(cmd), exec.ErrWaitDelay)
	assert.Less(t, time.Since(began), 10*patience)
	_, _ = held.Read(make([]byte, 10)) // its word
	assertGone(t, held)
}

func TestEnd(t *testing.T) {
	cmd, held := shell(t, t.Context(), deaf+"wait")
	require.NoError(t, cmd.Start())
	awaitRunning(t, held)
	End(cmd)
	require.Error(t, cmd.Wait())
	assertGone(t, held)
	End(cmd) // it was waited for: nothing happens

	cmd = Command(t.Context(), "/bin/sh", "-c", "echo $1", "sh", "word")
	var out bytes.Buffer
	cmd.Stdout = &out
	require.NoError(t, Run(cmd))
	assert.Equal(t, "word\n", out.String())
}
