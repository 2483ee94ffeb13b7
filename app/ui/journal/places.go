package journal

import (
	"fmt"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"halocline/app/desk"
	"halocline/app/ui/field"
	"halocline/app/ui/look"
	"halocline/app/ui/proofs"
	"halocline/app/ui/timeline"
	"halocline/app/ui/viewer"
	"halocline/selection"
)

// TellPlaces tells where the controls are once they rest, where that has changed.
func (j *Journal) TellPlaces() {
	if j == nil {
		return
	}
	if j.soon != nil {
		j.soon.Stop()
	}
	j.soon = time.AfterFunc(settling, func() {
		fyne.Do(func() { j.tellIfSettled() })
	})
}

// settling is how long places must stay as they are to be told: some frames.
const settling = 80 * time.Millisecond

// tellIfSettled tells the places unless they have just changed, as what is laid
// out moves for some frames; then it looks again.
func (j *Journal) tellIfSettled() {
	var b strings.Builder
	j.placesIn(&b, j.canvas.Content())
	if top := j.canvas.Overlays().Top(); top != nil {
		j.placesIn(&b, top)
	}
	if b.String() != j.seen {
		j.seen = b.String()
		j.TellPlaces()
		return
	}
	if j.seen != j.places {
		j.places = j.seen
		j.Tell("%s", strings.TrimSuffix(j.places, "\n"))
	}
	j.Tell("settled")
}

// placesIn writes a line for each control in an object that can be seen.
func (j *Journal) placesIn(b *strings.Builder, o fyne.CanvasObject) {
	if !o.Visible() {
		return
	}
	kind, name := placeOf(o)
	if kind != "" {
		scale := j.canvas.Scale()
		at, size := fyne.CurrentApp().Driver().AbsolutePositionForObject(o), o.Size()
		fmt.Fprintf(b, "place %.0f %.0f %.0f %.0f %s %s\n", at.X*scale, at.Y*scale, size.Width*scale, size.Height*scale, kind, name)
	}
	switch o := o.(type) {
	case *field.Field:
		j.placeHandles(b, o)
	case *field.PlaneLine:
		j.placeLevel(b, o)
	case *viewer.Viewer:
		j.placeSpots(b, o)
	case *timeline.Area:
		j.placeTime(b, o)
	}
	switch o := o.(type) {
	case *fyne.Container:
		for _, c := range o.Objects {
			j.placesIn(b, c)
		}
	case *container.Scroll:
		j.placesIn(b, o.Content)
	case *look.Pressable:
		j.placesIn(b, o.Content())
	case *proofs.Grid:
		j.placesIn(b, o.Content())
	case *look.ValueRow:
		if n := o.Notch(); n != nil {
			j.placesIn(b, n)
		}
	case *widget.PopUp:
		j.placesIn(b, o.Content)
	}
}

// placeHandles tells where the handles of the field's lines are.
func (j *Journal) placeHandles(b *strings.Builder, f *field.Field) {
	scale := j.canvas.Scale()
	origin := fyne.CurrentApp().Driver().AbsolutePositionForObject(f)
	for c := selection.Hue; c <= selection.Light; c++ {
		for line, name := range [4]string{"fade before", "from", "to", "fade after"} {
			if at, ok := f.HandlePlace(c, line); ok {
				fmt.Fprintf(b, "place %.0f %.0f 0 0 handle %s %s\n", (origin.X+at.X)*scale, (origin.Y+at.Y)*scale, desk.ShortName(selection.HSL, c), name)
			}
		}
	}
}

// placeLevel tells where the handles of a plane's line are.
func (j *Journal) placeLevel(b *strings.Builder, l *field.PlaneLine) {
	scale := j.canvas.Scale()
	origin := fyne.CurrentApp().Driver().AbsolutePositionForObject(l)
	for i, name := range [3]string{"fade before", "level", "fade after"} {
		at := l.HandlePlace(i)
		fmt.Fprintf(b, "place %.0f %.0f 0 0 handle plane %s\n", (origin.X+at.X)*scale, (origin.Y+at.Y)*scale, name)
	}
}

// placeSpots tells where the handles on the frame are.
func (j *Journal) placeSpots(b *strings.Builder, v *viewer.Viewer) {
	scale := j.canvas.Scale()
	origin := fyne.CurrentApp().Driver().AbsolutePositionForObject(v)
	for _, s := range j.spots() {
		fmt.Fprintf(b, "place %.0f %.0f 0 0 handle %s\n", float64(origin.X*scale)+s.X, float64(origin.Y*scale)+s.Y, s.Name)
	}
}

// placeTime tells where the frames in view stand on the ruler, the lanes and the
// strip: their first is at the place's left, their last at its right.
func (j *Journal) placeTime(b *strings.Builder, a *timeline.Area) {
	scale := j.canvas.Scale()
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
	case *field.PlaneLine:
		return "field", "plane"
	case *viewer.Viewer:
		return "viewer", ""
	case *look.Select:
		return "select", o.Shown()
	case *proofs.Cell:
		return "proof", o.Name()
	}
	return "", ""
}
