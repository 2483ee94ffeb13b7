//go:build unix

package regular

import (
	"errors"
	"os"
	"syscall"
)

// openAtOnce opens a file without waiting for another process: of a named pipe
// that took the file's place meanwhile, O_NONBLOCK opens the reading end at once
// (POSIX.1-2017, open).
func openAtOnce(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK|syscall.O_NOCTTY, 0)
	if errors.Is(err, syscall.EWOULDBLOCK) { // somebody holds a lease on it, and is asked to give it up (fcntl(2))
		return os.Open(path)
	}
	return f, err
}
