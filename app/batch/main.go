package batch

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"
)

// grace is how long a verb has to end by itself once a signal asks for it.
const grace = time.Second

// Main is the program: Run, until INT or TERM ends it. A verb that hangs then, in
// another program or in a disk that does not answer, is left where it is: what it
// has written stands under final names only where it is whole.
func Main(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return within(ctx, grace, stderr, func() int { return Run(ctx, args, stdout, stderr) })
}

// within runs work until it ends, or for as long as grace after ctx ended.
func within(ctx context.Context, grace time.Duration, stderr io.Writer, work func() int) int {
	done := make(chan int, 1)
	go func() { done <- work() }()
	select {
	case status := <-done:
		return status
	case <-ctx.Done():
	}
	select {
	case status := <-done:
		return status
	case <-time.After(grace):
		fmt.Fprintf(stderr, "halocline-batch: stopped amid its work, which did not end: %v\n", context.Cause(ctx))
		return failed
	}
}
