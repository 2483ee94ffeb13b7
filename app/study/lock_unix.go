//go:build unix

package study

import (
	"errors"
	"os"
	"strconv"
	"strings"
	"syscall"
)

// holdOpen marks a lock file that is open as a living process's. It waits for who
// looks at the file at that moment. Where the file system has no such marks it does
// nothing; claim then leaves the file alone.
func holdOpen(f *os.File) {
	for errors.Is(syscall.Flock(int(f.Fd()), syscall.LOCK_EX), syscall.EINTR) {
	}
}

// claim removes the lock file at path if its owner is dead, and reports whether it
// did, and whether the file system tells who is dead. found is how the file was found
// held. Two processes that find the same owner dead cannot both remove a lock: who
// removes one holds it by flock, and has seen after that that the file still has the
// name and is still held as it was found.
func claim(path string, found holding) (removed, told bool) {
	f, dead, told := holdDead(path)
	if !dead {
		return false, told
	}
	defer f.Close()
	if heldBy(f).kind != found {
		return false, true
	}
	removed = os.Remove(path) == nil
	return removed, removed // what cannot be removed is for the user to remove
}

// ownerDead reports whether nobody holds the lock file at path, and whether the file
// system tells.
func ownerDead(path string) (dead, told bool) {
	f, dead, told := holdDead(path)
	if f != nil {
		f.Close()
	}
	return dead, told
}

// holdDead opens a lock file that nobody holds, and holds it.
func holdDead(path string) (f *os.File, dead, told bool) {
	f, err := os.OpenFile(path, os.O_RDWR, 0) // NFS wants it open for writing
	if errors.Is(err, os.ErrPermission) {
		f, err = os.Open(path)
	}
	if err != nil {
		return nil, false, true // it has just gone
	}
	switch err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); {
	case errors.Is(err, syscall.EWOULDBLOCK), errors.Is(err, syscall.EINTR):
		f.Close()
		return nil, false, true
	case err != nil:
		f.Close()
		return nil, false, false
	case !sameAs(f, path):
		f.Close()
		return nil, false, true
	}
	return f, true, true
}

// drop removes a lock file that this process holds, and closes it.
func drop(f *os.File, path string) error {
	defer f.Close()
	if !sameAs(f, path) { // somebody removed it by hand
		return nil
	}
	return os.Remove(path)
}

// mayPass reports whether a refusal to make a file may pass by itself.
func mayPass(error) bool { return false }

// startOf returns when a process began, as the system counts, with what tells this
// run of the system from others; "" where there is no such process or the system
// does not say: only Linux does (man 5 proc_pid_stat).
func startOf(pid int) string {
	stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	if err != nil {
		return ""
	}
	_, rest, _ := strings.Cut(string(stat[strings.LastIndexByte(string(stat), ')')+1:]), " ")
	fields := strings.Fields(rest) // from the third, the state; the start is the 22nd
	if len(fields) < 20 || fields[0] == "Z" || fields[0] == "X" {
		return ""
	}
	boot, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(boot)) + " " + fields[19]
}

// isRunning reports whether a process of this machine has the number.
func isRunning(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
