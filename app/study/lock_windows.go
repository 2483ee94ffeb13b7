package study

import (
	"errors"
	"io/fs"
	"os"
	"strconv"
	"syscall"
	"time"
)

// holdOpen does nothing: a file that is open as Go opens it can be read by others,
// and cannot be removed or renamed.
func holdOpen(*os.File) {}

// claim removes the lock file at path if its owner is dead, and reports whether it
// did, and whether the file system tells who is dead: a living owner has it open, and
// the system removes no open file. So of two processes that find the same owner dead,
// the second cannot remove the first one's new lock.
func claim(path string, _ holding) (removed, told bool) { return os.Remove(path) == nil, true }

// ownerDead reports whether nobody holds the lock file at path: it can be opened
// without sharing it.
func ownerDead(path string) (dead, told bool) {
	name, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return false, false
	}
	h, err := syscall.CreateFile(name, syscall.GENERIC_READ, 0, nil, syscall.OPEN_EXISTING, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	if err != nil {
		return false, true
	}
	syscall.CloseHandle(h)
	return true, true
}

// drop closes a lock file that this process holds, and removes it. Who looks at it
// at that moment keeps it from going, so that it is tried for a while.
func drop(f *os.File, path string) error {
	f.Close()
	var err error
	for range 50 {
		if err = os.Remove(path); err == nil || errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if by := lookAt(path); by.owner == nil || by.owner.PID != os.Getpid() { // somebody has it by now
			return nil
		}
		time.Sleep(10 * time.Millisecond)
	}
	return err
}

// mayPass reports whether a refusal to make a file may pass by itself: a name whose
// file is being removed is refused until nobody has the file open.
func mayPass(err error) bool {
	return errors.Is(err, syscall.ERROR_ACCESS_DENIED) || errors.Is(err, errSharing)
}

// errSharing is ERROR_SHARING_VIOLATION.
const errSharing = syscall.Errno(32)

// startOf returns when a process began; "" where there is none of that number.
func startOf(pid int) string {
	h, err := openProcess(pid)
	if err != nil {
		return ""
	}
	defer syscall.CloseHandle(h)
	var created, exited, kernel, user syscall.Filetime
	if err := syscall.GetProcessTimes(h, &created, &exited, &kernel, &user); err != nil || hasEnded(h) {
		return ""
	}
	return strconv.FormatInt(created.Nanoseconds(), 10)
}

// isRunning reports whether a process of this machine has the number. One that may
// not be looked at runs.
func isRunning(pid int) bool {
	h, err := openProcess(pid)
	if err != nil {
		return errors.Is(err, syscall.ERROR_ACCESS_DENIED)
	}
	defer syscall.CloseHandle(h)
	return !hasEnded(h)
}

// queryLimited is PROCESS_QUERY_LIMITED_INFORMATION: it is granted for other users'
// processes too.
const queryLimited = 0x1000

func openProcess(pid int) (syscall.Handle, error) {
	return syscall.OpenProcess(queryLimited|syscall.SYNCHRONIZE, false, uint32(pid))
}

// hasEnded tells of a process that somebody still has open whether it has ended.
func hasEnded(h syscall.Handle) bool {
	event, err := syscall.WaitForSingleObject(h, 0)
	return err == nil && event == syscall.WAIT_OBJECT_0
}
