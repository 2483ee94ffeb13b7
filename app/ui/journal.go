package ui

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"halocline/app/desk"
	"halocline/app/ui/field"
	"halocline/app/ui/handles"
	"halocline/app/ui/look"
	"halocline/app/ui/proofs"
	"halocline/app/ui/timeline"
	"halocline/app/ui/viewer"
	"halocline/selection"
)

// A journal tells, a line each, what happens in the window, so that another
// program can follow it without guessing how long things take:
//
//	ready                       the first picture is on the screen
//	did LABEL                   an edit was made
//	undid LABEL, redid LABEL
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
type journal struct {
	mu     sync.Mutex
	w      io.Writer
	places string      // as told last
	seen   string      // as seen last
	soon   *time.Timer // places are to be told
}

// tell writes a line; it does nothing on nil.
func (j *journal) tell(format string, args ...any) {
	if j == nil {
		return
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	fmt.Fprintf(j.w, strings.ReplaceAll(format, "\n", " ")+"\n", args...)
}

// Tell writes a line of the journal.
func (w *window) Tell(format string, args ...any) { w.journal.tell(format, args...) }

// TellPlaces tells where the controls are once they rest, where that has changed.
func (w *window) TellPlaces() {
	if w.journal == nil {
		return
	}
	if w.journal.soon != nil {
		w.journal.soon.Stop()
	}
	w.journal.soon = time.AfterFunc(settling, func() {
		fyne.Do(func() { w.tellIfSettled() })
	})
}

// settling is how long places must stay as they are to be told: some frames.
const settling = 80 * time.Millisecond

// tellIfSettled tells the places unless they have just changed, as what is laid
// out moves for some frames; then it looks again.
func (w *window) tellIfSettled() {
	var b strings.Builder
	w.placesIn(&b, w.win.Canvas().Content())
	if top := w.win.Canvas().Overlays().Top(); top != nil {
		w.placesIn(&b, top)
	}
	if b.String() != w.journal.seen {
		w.journal.seen = b.String()
		w.TellPlaces()
		return
	}
	if w.journal.seen != w.journal.places {
		w.journal.places = w.journal.seen
		w.journal.tell("%s", strings.TrimSuffix(w.journal.places, "\n"))
	}
	w.journal.tell("settled")
}

func (w *window) placesIn(b *strings.Builder, o fyne.CanvasObject) {
	if !o.Visible() {
		return
	}
	kind, name := placeOf(o)
	if kind != "" {
		scale := w.win.Canvas().Scale()
		at, size := fyne.CurrentApp().Driver().AbsolutePositionForObject(o), o.Size()
		fmt.Fprintf(b, "place %.0f %.0f %.0f %.0f %s %s\n", at.X*scale, at.Y*scale, size.Width*scale, size.Height*scale, kind, name)
	}
	switch o := o.(type) {
	case *field.Field:
		w.placeHandles(b, o)
	case *viewer.Viewer:
		w.placeMask(b, o)
	case *timeline.Area:
		w.placeTime(b, o)
	}
	switch o := o.(type) {
	case *fyne.Container:
		for _, c := range o.Objects {
			w.placesIn(b, c)
		}
	case *container.Scroll:
		w.placesIn(b, o.Content)
	case *look.Pressable:
		w.placesIn(b, o.Content())
	case *proofs.Grid:
		w.placesIn(b, o.Content())
	case *look.ValueRow:
		if n := o.Notch(); n != nil {
			w.placesIn(b, n)
		}
	case *widget.PopUp:
		w.placesIn(b, o.Content)
	}
}

// placeHandles tells where the handles of the field's lines are.
func (w *window) placeHandles(b *strings.Builder, f *field.Field) {
	scale := w.win.Canvas().Scale()
	origin := fyne.CurrentApp().Driver().AbsolutePositionForObject(f)
	for c := selection.Hue; c <= selection.Light; c++ {
		for line, name := range [4]string{"fade before", "from", "to", "fade after"} {
			if at, ok := f.HandlePlace(c, line); ok {
				fmt.Fprintf(b, "place %.0f %.0f 0 0 handle %s %s\n", (origin.X+at.X)*scale, (origin.Y+at.Y)*scale, desk.ShortName(selection.HSL, c), name)
			}
		}
	}
}

// placeMask tells where the handles of the chosen mask are.
func (w *window) placeMask(b *strings.Builder, v *viewer.Viewer) {
	h := w.frame.MaskHandles()
	if h == nil || w.desk.Step != desk.StepMasks {
		return
	}
	scale := w.win.Canvas().Scale()
	origin := fyne.CurrentApp().Driver().AbsolutePositionForObject(v)
	for _, p := range []struct {
		kind handles.PartKind
		name string
	}{{handles.Turn, "turn"}, {handles.Centre, "centre"}, {handles.InnerFeather, "feather inward"}, {handles.OuterFeather, "feather outward"}} {
		if at, ok := h.Place(p.kind); ok {
			fmt.Fprintf(b, "place %.0f %.0f 0 0 handle %s\n", float64(origin.X*scale)+at.X, float64(origin.Y*scale)+at.Y, p.name)
		}
	}
	s, _ := w.frame.MaskShape()
	for i, p := range s.Points {
		x, y := v.Viewport().ToScreen(p.X, p.Y)
		fmt.Fprintf(b, "place %.0f %.0f 0 0 handle vertex %d\n", float64(origin.X*scale)+x, float64(origin.Y*scale)+y, i+1)
	}
}

// placeTime tells where the frames in view stand on the ruler, the lanes and the
// strip: their first is at the place's left, their last at its right.
func (w *window) placeTime(b *strings.Builder, a *timeline.Area) {
	scale := w.win.Canvas().Scale()
	origin := fyne.CurrentApp().Driver().AbsolutePositionForObject(a)
	for _, r := range a.Rows() {
		fmt.Fprintf(b, "place %.0f %.0f %.0f %.0f %s\n", (origin.X+r.X)*scale, (origin.Y+r.Y)*scale, r.Width*scale, r.Height*scale, r.Name)
	}
}

// placeOf is what a control is called in the journal; "" for what has no name.
func placeOf(o fyne.CanvasObject) (kind, name string) {
	switch o := o.(type) {
	case *look.Button:
		return "button", o.Label()
	case *look.ValueRow:
		return "row", o.Name()
	case *look.Switch:
		return "switch", o.ToolTip()
	case *look.Notch:
		return "notch", o.Name()
	case *look.Segments:
		return "segments", strings.Join(o.Labels(), "|")
	case *look.Entry:
		return "entry", o.Now()
	case *look.Pressable:
		return "pressable", o.ToolTip()
	case *field.Field:
		return "field", ""
	case *viewer.Viewer:
		return "viewer", ""
	case *look.Select:
		return "select", o.Shown()
	case *proofs.Cell:
		return "proof", o.Name()
	}
	return "", ""
}
