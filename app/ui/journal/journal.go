package journal

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"fyne.io/fyne/v2"
)

// A Journal tells, a line each, what happens in the window, so that another
// program can follow it without guessing how long things take:
//
//	ready                       the first picture is on the screen
//	did LABEL                   an edit was made
//	travelled                   edits were undone or redone
//	shown                       a picture is on the screen, nothing newer is asked for
//	found                       the figures of the matte as it is now are shown
//	seam RIM BLEED MISFIT SOFTNESS of the trial, before found; the last is that of least misfit
//	place X Y W H KIND NAME     where a control is, in screen pixels of the window
//	settled                     all of them are where the places say
//	playing, stopped            the clip
//	proof shown NAME            its picture, in the sheet of proofs
//	proofs worked out N         all pictures and figures there
//	wrote PATH                  the sheet, or its figures
//	judged N FRAME BADNESS      all N frames of it, and which is the worst
//	saved PATH, opened PATH, exported N FOLDER, problem TEXT
type Journal struct {
	mu     sync.Mutex
	w      io.Writer
	canvas fyne.Canvas
	spots  func() []Spot
	places string      // as told last
	seen   string      // as seen last
	soon   *time.Timer // places are to be told
}

// A Spot is a handle on the frame: where it is, in screen pixels of the viewer.
type Spot struct {
	X, Y float64
	Name string
}

// New is a journal of what is on a canvas; nil where w is nil.
func New(w io.Writer, c fyne.Canvas) *Journal {
	if w == nil {
		return nil
	}
	return &Journal{w: w, canvas: c, spots: func() []Spot { return nil }}
}

// OnFrame names who knows the handles that are on the frame.
func (j *Journal) OnFrame(spots func() []Spot) {
	if j != nil {
		j.spots = spots
	}
}

// Tell writes a line.
func (j *Journal) Tell(format string, args ...any) {
	if j == nil {
		return
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	fmt.Fprintf(j.w, strings.ReplaceAll(format, "\n", " ")+"\n", args...)
}
