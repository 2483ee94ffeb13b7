package timeline

import (
	"fmt"
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"halocline/app/study"
	"halocline/app/timecode"
)

// An Area is the time area. What the program sets it shows in silence; what the
// user does it tells through its functions, any of which may be nil. Use it on
// Fyne's goroutine.
type Area struct {
	widget.BaseWidget

	OnSeek      func(frame int, p study.Phase)
	OnPlay      func()
	OnKeyMove   func(lane, from, to int, copied bool, p study.Phase) // from, as it was when the drag began
	OnKeyAdd    func(lane, frame int)
	OnKeyDelete func(lane, frame int)
	OnChoose    func(lane int)
	OnInOut     func(in, out int, p study.Phase)
	PlayKey     string             // what plays and pauses, in words
	OnHint      func(words string) // what a press would do; "" where the pointer has left

	clip     Clip
	lanes    []Lane
	notes    Notes
	in, out  int
	frame    int
	units    Units
	playing  bool
	checking string  // of the strip: how far the work on it is
	gutter   float64 // how wide the names' column is, in units
	rows     int     // lanes shown at once

	lo, hi float64 // frames in view
	scroll float64 // pixels of lanes above the view
	key    chosenKey

	hover          part
	hoverFrame     int
	hoverX, hoverY float64
	pull           *pull
	focused        bool
	byPress        bool // focused by a press: no ring

	pic     *canvas.Image // shows shown
	spare   *image.RGBA
	base    *image.RGBA // the ground; drawn anew where stale
	drawnAs plan
	stale   bool
	pending bool // a redraw is queued
}

// A chosenKey is the notch that keys of the keyboard work on.
type chosenKey struct {
	set   bool
	lane  int // its id
	frame int
}

var (
	_ fyne.Draggable      = (*Area)(nil)
	_ fyne.Focusable      = (*Area)(nil)
	_ fyne.Scrollable     = (*Area)(nil)
	_ fyne.DoubleTappable = (*Area)(nil)
	_ fyne.Shortcutable   = (*Area)(nil)
	_ desktop.Mouseable   = (*Area)(nil)
	_ desktop.Hoverable   = (*Area)(nil)
	_ desktop.Cursorable  = (*Area)(nil)
	_ fyne.WidgetRenderer = (*renderer)(nil)
)

// New returns an Area of one frame without lanes.
func New() *Area {
	a := &Area{clip: Clip{Frames: []int{0}}, rows: 2, gutter: gutterWide, hi: 1, stale: true}
	a.pic = &canvas.Image{ScaleMode: canvas.ImageScaleFastest}
	a.ExtendBaseWidget(a)
	return a
}

// SetClip shows footage, all of it, with in and out at its ends.
func (a *Area) SetClip(c Clip) {
	if len(c.Frames) == 0 {
		c.Frames = []int{0}
	}
	a.clip = c
	a.in, a.out, a.frame = c.first(), c.last(), c.first()
	a.lanes, a.notes, a.key, a.pull, a.scroll, a.gutter = nil, Notes{}, chosenKey{}, nil, 0, gutterWide
	if a.units != Frames {
		a.units = a.timeUnits()
	}
	a.setSpan(span{lo: float64(c.first()), hi: float64(c.last()), x1: 1})
	a.redrawAll()
}

// SetRate sets the clip's rate alone, from which timecodes are told.
func (a *Area) SetRate(r Rate) {
	if a.clip.Rate == r {
		return
	}
	a.clip.Rate = r
	if a.units != Frames {
		a.units = a.timeUnits()
	}
	a.redrawAll()
}

// Rate is the clip's rate.
func (a *Area) Rate() Rate { return a.clip.Rate }

// SetUnread marks frames that could not be read.
func (a *Area) SetUnread(frames map[int]bool) {
	a.clip.Unread = frames
	a.redrawAll()
}

// SetLanes shows lanes, which must not be changed while they are shown.
func (a *Area) SetLanes(lanes []Lane) {
	was := min(len(a.lanes), a.rows)
	a.lanes, a.gutter = lanes, gutterFor(lanes)
	if a.key.set && a.pull == nil {
		i := a.laneOf(a.key.lane)
		if i < 0 {
			a.key = chosenKey{}
		} else if _, ok := lanes[i].key(a.key.frame); !ok {
			a.key = chosenKey{}
		}
	}
	a.redrawAll()
	if min(len(lanes), a.rows) != was {
		a.Refresh() // another height
	}
}

// SetRows says how many lanes are shown at once; more scroll.
func (a *Area) SetRows(n int) {
	if n != a.rows {
		a.rows = n
		a.redrawAll()
	}
}

// SetNotes shows the strip; the notes must not be changed while they are shown.
func (a *Area) SetNotes(n Notes) {
	a.notes = n
	a.redrawAll()
}

// SetChecking says beside the strip how far the work on it is; "" for done.
func (a *Area) SetChecking(words string) {
	if words != a.checking {
		a.checking = words
		a.redrawAll()
	}
}

// SetFrame moves the playhead, and brings it into view. While the user drags it,
// it stays with the pointer.
func (a *Area) SetFrame(n int) {
	if a.seeking() || n == a.frame {
		return
	}
	a.frame = n
	a.reveal(n)
	a.redraw()
}

// SetInOut moves the ends of the part in work.
func (a *Area) SetInOut(in, out int) {
	if in != a.in || out != a.out {
		a.in, a.out = in, out
		a.redraw()
	}
}

// SetPlaying shows whether the clip plays.
func (a *Area) SetPlaying(on bool) {
	if on != a.playing {
		a.playing = on
		a.redraw()
	}
}

// Units are what the ruler counts in, and SetUnits changes that: timecode needs
// a rate that is known, drop-frame one that has it.
func (a *Area) Units() Units { return a.units }

func (a *Area) SetUnits(u Units) {
	switch {
	case u != Frames && !a.clip.Rate.Known():
		u = Frames
	case u == DropFrame && !a.clip.Rate.CanDrop():
		u = NonDrop
	}
	a.units = u
	a.redrawAll()
}

// timeUnits are those of timecode that suit the rate.
func (a *Area) timeUnits() Units {
	switch {
	case !a.clip.Rate.Known():
		return Frames
	case a.clip.Rate.CanDrop():
		return DropFrame
	}
	return NonDrop
}

// nextUnits counts frames, then timecode, then where there is drop-frame
// timecode without it.
func (a *Area) nextUnits() {
	next := map[Units]Units{Frames: a.timeUnits(), DropFrame: NonDrop, NonDrop: Frames}
	a.SetUnits(next[a.units])
}

func (a *Area) timeText(n int) string {
	if a.units == Frames {
		return fmt.Sprint(n)
	}
	return timecode.Text(n, a.clip.Rate, a.units == DropFrame)
}

func (a *Area) seeking() bool { return a.pull != nil && a.pull.part.kind == theRuler }

func (a *Area) laneOf(id int) int {
	for i := range a.lanes {
		if a.lanes[i].ID == id {
			return i
		}
	}
	return -1
}

// setSpan shows a part of time.
func (a *Area) setSpan(s span) {
	s = s.within(a.clip.first(), a.clip.last())
	if s.lo != a.lo || s.hi != a.hi {
		a.lo, a.hi = s.lo, s.hi
		a.redraw()
	}
}

// reveal brings a frame into view.
func (a *Area) reveal(n int) {
	p := a.plan()
	a.setSpan(p.span.showing(n))
}

// MinSize leaves the width to the window.
func (a *Area) MinSize() fyne.Size {
	a.ExtendBaseWidget(a)
	return fyne.NewSize(240, rulerHigh+laneHigh*float32(min(len(a.lanes), a.rows))+stripHigh)
}

// pixels per unit.
func (a *Area) dots() float64 {
	if c := fyne.CurrentApp().Driver().CanvasForObject(a); c != nil {
		return float64(c.Scale())
	}
	return 1
}

// plan returns where everything is now.
func (a *Area) plan() plan {
	scale, size := a.dots(), a.Size()
	w, h := int(math.Round(float64(size.Width)*scale)), int(math.Round(float64(size.Height)*scale))
	return newPlan(w, h, scale, a.gutter, a.lo, a.hi, len(a.lanes), a.scroll)
}

// A Row is a row of the area, and where the frames in view stand in it from the
// first to the last, in the area's own units.
type Row struct {
	Name                string // "ruler", "strip", "lane" and the lane's name; "flag" and its rank, where that is pressed
	X, Y, Width, Height float32
}

// Rows are the rows that can be seen.
func (a *Area) Rows() []Row {
	p := a.plan()
	if !p.usable() {
		return nil
	}
	row := func(name string, y0, y1 float64) Row {
		u := func(v float64) float32 { return float32(v / p.scale) }
		return Row{name, u(p.span.x0), u(y0), u(p.span.x1 - p.span.x0), u(y1 - y0)}
	}
	all := []Row{row("ruler", p.ruler.y0, p.ruler.y1)}
	for i := range a.lanes {
		if r := p.lane(i); r.y0 >= p.lanes.y0 && r.y1 <= p.lanes.y1+0.5 {
			all = append(all, row("lane "+a.lanes[i].Name, r.y0, r.y1))
		}
	}
	all = append(all, row("strip", p.strip.y0, p.strip.y1))
	for _, f := range a.notes.Flags {
		flag := row(fmt.Sprint("flag ", f.Rank), p.strip.y0, p.strip.y0+p.dp(flagHigh))
		flag.X, flag.Width = float32(p.span.x(float64(f.Frame))/p.scale), flagWide
		all = append(all, flag)
	}
	return all
}
