// Command halocline-batch isolates parts of pictures by colour from the command
// line. Run it with --help for its verbs.
package main

import (
	"os"

	"halocline/app/batch"
)

func main() { os.Exit(batch.Main(os.Args[1:], os.Stdout, os.Stderr)) }
