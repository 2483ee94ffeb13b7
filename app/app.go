// Package app makes the parts of the window program and joins them.
package app

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime"
	"time"

	"fyne.io/fyne/v2"
	fyneapp "fyne.io/fyne/v2/app"

	"halocline/app/ui"
	"halocline/app/ui/look"
	"halocline/assets"
)

const usage = `usage: halocline [--trace FILE] [--journal] [PICTURE|FOLDER|MOVIE|STUDY]

Opens the window on a picture, a folder of numbered pictures, a movie or a study;
without any, on the embedded sample.
  --trace FILE  write one JSON line for each picture of a drag, of another frame
                and of a clip that plays: when, how long it took to render, to
                draw and to show, in milliseconds
  --journal     say on standard output, a line each, what happens: for programs
                that follow the window

The same work without a window: halocline-batch.
`

// exitStuck is how long the window system may take to end after the window has
// closed; it has been seen to hang.
const exitStuck = 3 * time.Second

// Run opens the window and returns the exit status when it has closed: 0; 1
// where there is no display or the trace cannot be written; 2 for wrong flags.
func Run(args []string, stdout, stderr io.Writer) int {
	f := flag.NewFlagSet("halocline", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	tracePath := f.String("trace", "", "")
	journal := f.Bool("journal", false, "")
	err := f.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprint(stdout, usage)
		return 0
	case err != nil:
		fmt.Fprintf(stderr, "halocline: %v\n%s", err, usage)
		return 2
	case f.NArg() > 1:
		fmt.Fprintf(stderr, "halocline: found %d files, want one at most\n%s", f.NArg(), usage)
		return 2
	case !hasDisplay():
		fmt.Fprintln(stderr, "halocline: there is no display to open a window on; the same work without one: halocline-batch demo")
		return 1
	}
	c := ui.Config{Path: f.Arg(0), Sized: limitMemory}
	if *tracePath != "" {
		file, err := os.Create(*tracePath)
		if err != nil {
			fmt.Fprintf(stderr, "halocline: the trace cannot be written: %v\n", err)
			return 1
		}
		defer file.Close()
		c.Trace = file
	}
	if *journal {
		c.Journal = stdout
	}
	if err := open(c); err != nil {
		fmt.Fprintf(stderr, "halocline: no window can be opened (%v); the same work without one: halocline-batch demo\n", err)
		return 1
	}
	return 0
}

// open shows the window until it is closed. The error says why it could not be
// opened.
func open(c ui.Config) error {
	icon := fyne.NewStaticResource("icon.svg", assets.Icon)
	fyneapp.SetMetadata(fyne.AppMetadata{ID: "halocline.halocline", Name: ui.Title, Version: "0.1.0", Icon: icon})
	a := fyneapp.New()
	a.SetIcon(icon)
	a.Settings().SetTheme(look.Theme())
	w, err := newWindow(a, c)
	if err != nil {
		return err
	}
	w.SetOnClosed(func() { time.AfterFunc(exitStuck, func() { os.Exit(0) }) })
	w.ShowAndRun()
	return nil
}

// newWindow makes the window. The toolkit panics where a display is named that
// cannot be reached, or one that has no OpenGL.
func newWindow(a fyne.App, c ui.Config) (w fyne.Window, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
	}()
	return ui.New(a, c), nil
}

// hasDisplay reports whether there is something to open a window on.
func hasDisplay() bool {
	switch runtime.GOOS {
	case "windows", "darwin":
		return true
	}
	return os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != ""
}
