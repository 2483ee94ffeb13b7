// Command halocline-batch isolates parts of pictures by colour from the command
// line. Run it with --help for its verbs.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"halocline/app/batch"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	status := batch.Run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}
