// Command halocline is the window: it isolates parts of a picture by eye and
// hand.
package main

import (
	"os"

	"halocline/app"
)

func main() { os.Exit(app.Run(os.Args[1:], os.Stdout, os.Stderr)) }
