//go:build unix

package sheets

import (
	"path/filepath"
	"syscall"
)

// freeBytes is how much room there is where a folder lies or would be made.
func freeBytes(folder string) (int64, bool) {
	for path := filepath.Clean(folder); ; path = filepath.Dir(path) {
		var s syscall.Statfs_t
		if err := syscall.Statfs(path, &s); err == nil {
			return int64(s.Bavail) * int64(s.Bsize), true
		}
		if path == filepath.Dir(path) {
			return 0, false
		}
	}
}
