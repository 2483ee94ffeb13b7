//go:build unix

package program

import (
	"os"
	"os/exec"
	"syscall"
)

func setGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// endGroup kills a process that leads a group, and the group (kill(2)).
func endGroup(p *os.Process) error {
	err := syscall.Kill(-p.Pid, syscall.SIGKILL)
	if err == syscall.ESRCH {
		return os.ErrProcessDone
	}
	return err
}

func isRunning(p *os.Process) bool { return p.Signal(syscall.Signal(0)) == nil }
