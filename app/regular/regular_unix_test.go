//go:build unix

package regular

import (
	"net"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// soon fails a test whose call waits for somebody.
func soon(t *testing.T, call func()) {
	t.Helper()
	done := make(chan struct{})
	go func() { call(); close(done) }()
	select {
	case <-done:
	case <-time.After(10 * time.Second):
		t.Fatal("it waits")
	}
}

// A pipe that nobody writes into, a socket and a device are refused, also behind a
// link.
func TestWhatIsNotRegularIsRefusedAtOnce(t *testing.T) {
	folder, err := os.MkdirTemp("", "r") // a socket's path must be short
	require.NoError(t, err)
	t.Cleanup(func() { _ = os.RemoveAll(folder) })
	at := func(name string) string { return filepath.Join(folder, name) }
	require.NoError(t, syscall.Mkfifo(at("pipe"), 0o666))
	require.NoError(t, os.Symlink(at("pipe"), at("link")))
	l, err := net.Listen("unix", at("socket"))
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	for path, is := range map[string]string{
		at("pipe"): "a named pipe", at("link"): "a named pipe", at("socket"): "a socket", os.DevNull: "a device", folder: "a folder",
	} {
		soon(t, func() {
			_, _, err := Open(path)
			assert.EqualError(t, err, path+" is "+is+", want a file")
			assert.ErrorIs(t, err, ErrNot)
			_, err = Stat(path)
			assert.ErrorIs(t, err, ErrNot)
		})
	}
}

// Where a pipe takes the file's place after it was looked at, opening does not wait
// either.
func TestOpeningDoesNotWaitForAWriter(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o666))
	soon(t, func() {
		f, err := openAtOnce(pipe)
		if assert.NoError(t, err) {
			assert.NoError(t, f.Close())
		}
	})
}
