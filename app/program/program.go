// Package program starts other programs and ends them with all that they have
// started themselves: what is called ffmpeg may be a script that runs it.
package program

import (
	"context"
	"errors"
	"os/exec"
	"time"
)

// patience is how long a program that has ended, or was ended, may keep its output
// open: by then only something that it left behind can hold it.
const patience = 500 * time.Millisecond

// Command is exec.CommandContext for a program in a process group of its own: when
// ctx ends, the whole group is ended, whether or not it listens to signals. On
// Windows that is the program alone. Waiting for it takes half a second more than
// the program does, at most, even where something that it started goes on.
func Command(ctx context.Context, path string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, path, args...)
	setGroup(cmd)
	cmd.Cancel = func() error { return endGroup(cmd.Process) }
	cmd.WaitDelay = patience
	return cmd
}

// Run starts a Command and waits for it. What the program leaves behind with its
// output open is ended too, and is exec.ErrWaitDelay.
func Run(cmd *exec.Cmd) error {
	err := cmd.Run()
	if errors.Is(err, exec.ErrWaitDelay) {
		_ = endGroup(cmd.Process)
	}
	return err
}

// End ends a Command that was started, with its group. It does nothing to one that
// was waited for.
func End(cmd *exec.Cmd) {
	if isRunning(cmd.Process) {
		_ = endGroup(cmd.Process)
	}
}
