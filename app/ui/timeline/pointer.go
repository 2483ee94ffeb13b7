package timeline

import (
	"math"

	"halocline/app/study"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// A pull is a press that may become a drag.
type pull struct {
	part     part
	x        float64
	moved    bool
	frame    int // the playhead's when it began
	in, out  int
	lane     int // id of a notch's
	to       int // where the notch is now
	copied   bool
	lastSeek int
}

// notch is how far the wheel scrolls in one notch, in Fyne's units.
const notch = 25

// zoomPerNotch is how much one notch of the wheel narrows what is in view.
const zoomPerNotch = 1.25

// dragFrom is how far a notch must be pulled to move, in Fyne's units.
const dragFrom = 3

func (a *Area) pixels(p fyne.Position) (x, y float64) {
	s := a.dots()
	return float64(p.X) * s, float64(p.Y) * s
}

// MouseDown takes hold of what is under the pointer.
func (a *Area) MouseDown(e *desktop.MouseEvent) {
	if e.Button != desktop.MouseButtonPrimary || a.pull != nil {
		return
	}
	a.byPress = true
	if c := fyne.CurrentApp().Driver().CanvasForObject(a); c != nil {
		c.Focus(a)
	}
	x, y := a.pixels(e.Position)
	p := a.plan()
	at := a.hit(&p, x, y)
	switch at.kind {
	case nothing, theLegend:
	case playButton:
		tell(a.OnPlay)
	case unitsLabel:
		a.nextUnits()
	case laneName:
		a.choose(at.lane)
	default:
		a.grab(&p, at, x)
	}
}

func tell(f func()) {
	if f != nil {
		f()
	}
}

// grab begins a drag.
func (a *Area) grab(p *plan, at part, x float64) {
	a.pull = &pull{part: at, x: x, frame: a.frame, in: a.in, out: a.out, to: at.frame, lastSeek: a.frame}
	switch at.kind {
	case theRuler, theStrip:
		a.pull.part.kind = theRuler
		a.seek(a.clip.nearest(p.span.frameAt(x)), study.Moved)
	case aFlag:
		a.pull.part.kind = theRuler
		a.seek(at.frame, study.Moved)
	case aNotch:
		l := &a.lanes[at.lane]
		a.pull.lane, a.pull.copied = l.ID, modifiers()&fyne.KeyModifierControl != 0
		a.key = chosenKey{true, l.ID, at.frame}
		a.choose(at.lane)
		a.redrawAll()
	case aLane:
		a.key = chosenKey{}
		a.choose(at.lane)
		a.pull.part.kind = theRuler
		a.seek(a.clip.nearest(p.span.frameAt(x)), study.Moved)
		a.redrawAll()
	}
}

func (a *Area) choose(lane int) {
	if a.OnChoose != nil && !a.lanes[lane].Chosen {
		a.OnChoose(a.lanes[lane].ID)
	}
}

// seek moves the playhead with the pointer.
func (a *Area) seek(n int, phase study.Phase) {
	if n == a.frame && phase == study.Moved {
		return
	}
	a.frame = n
	a.reveal(n)
	a.redraw()
	if a.OnSeek != nil {
		a.OnSeek(n, phase)
	}
}

// Dragged moves what is held.
func (a *Area) Dragged(e *fyne.DragEvent) {
	if a.pull == nil {
		return
	}
	x, _ := a.pixels(e.Position)
	p := a.plan()
	if !a.pull.moved && a.pull.part.kind != theRuler && math.Abs(x-a.pull.x) < p.dp(dragFrom) {
		return
	}
	a.pull.moved = true
	n := a.clip.nearest(p.span.frameAt(x))
	switch a.pull.part.kind {
	case theRuler:
		a.seek(n, study.Moved)
	case inEnd:
		a.moveEnds(min(n, a.out), a.out, study.Moved)
	case outEnd:
		a.moveEnds(a.in, max(n, a.in), study.Moved)
	case aNotch:
		a.moveNotch(n)
	}
}

func (a *Area) moveEnds(in, out int, phase study.Phase) {
	if in == a.in && out == a.out && phase == study.Moved {
		return
	}
	a.in, a.out = in, out
	a.redraw()
	if a.OnInOut != nil {
		a.OnInOut(in, out, phase)
	}
}

func (a *Area) moveNotch(n int) {
	if n == a.pull.to {
		return
	}
	a.pull.to = n
	a.key.frame = n
	a.hover, a.hoverFrame = part{kind: theRuler}, n
	a.tellMove(study.Moved)
	a.redrawAll()
}

func (a *Area) tellMove(phase study.Phase) {
	if a.OnKeyMove != nil {
		a.OnKeyMove(a.pull.lane, a.pull.part.frame, a.pull.to, a.pull.copied, phase)
	}
}

// MouseUp ends a press that was no drag.
func (a *Area) MouseUp(*desktop.MouseEvent) { a.DragEnd() }

// DragEnd decides a drag.
func (a *Area) DragEnd() {
	p := a.pull
	if p == nil {
		return
	}
	switch p.part.kind {
	case theRuler:
		a.seek(a.frame, study.Done)
	case inEnd, outEnd:
		if p.moved {
			a.moveEnds(a.in, a.out, study.Done)
			break
		}
		a.goTo(map[partKind]int{inEnd: a.in, outEnd: a.out}[p.part.kind])
	case aNotch:
		a.dropNotch()
	}
	a.pull = nil
	a.redrawAll()
}

// dropNotch decides where a notch goes; one that was not moved is gone to.
func (a *Area) dropNotch() {
	p := a.pull
	switch {
	case !p.moved:
		a.frame = p.part.frame
		a.reveal(a.frame)
		if a.OnSeek != nil {
			a.OnSeek(a.frame, study.Done)
		}
	case p.to == p.part.frame:
		a.tellMove(study.Cancelled)
	default:
		a.tellMove(study.Done)
	}
}

// cancel gives a drag up, and puts back what it moved.
func (a *Area) cancel() bool {
	p := a.pull
	if p == nil {
		return false
	}
	switch p.part.kind {
	case theRuler:
		a.seek(p.frame, study.Cancelled)
	case inEnd, outEnd:
		a.moveEnds(p.in, p.out, study.Cancelled)
	case aNotch:
		a.key.frame = p.part.frame
		if p.moved {
			a.tellMove(study.Cancelled)
		}
	}
	a.pull = nil
	a.redrawAll()
	return true
}

// DoubleTapped on a lane where there is no key makes one.
func (a *Area) DoubleTapped(e *fyne.PointEvent) {
	x, y := a.pixels(e.Position)
	p := a.plan()
	at := a.hit(&p, x, y)
	switch {
	case at.kind == aLane && a.OnKeyAdd != nil:
		n := a.clip.nearest(p.span.frameAt(x))
		a.key = chosenKey{true, a.lanes[at.lane].ID, n}
		a.OnKeyAdd(a.lanes[at.lane].ID, n)
	case at.kind == theRuler:
		a.setSpan(span{lo: float64(a.clip.first()), hi: float64(a.clip.last()), x1: 1})
	}
}

// Scrolled zooms about the pointer, scrolls along with Shift, and over the lanes
// scrolls these where they are too many.
func (a *Area) Scrolled(e *fyne.ScrollEvent) {
	x, y := a.pixels(e.Position)
	p := a.plan()
	if !p.usable() {
		return
	}
	lanes := float64(p.count)*p.dp(laneHigh) > p.lanes.y1-p.lanes.y0+0.5 && y >= p.lanes.y0 && y < p.lanes.y1
	switch along := float64(e.Scrolled.DX) / notch; {
	case along != 0:
		a.setSpan(p.span.moved(-along * (p.span.hi - p.span.lo) / 10))
	case lanes:
		q := newPlan(p.w, p.h, p.scale, p.gutter, a.lo, a.hi, len(a.lanes), p.scroll-float64(e.Scrolled.DY)/notch*p.dp(laneHigh))
		a.scroll = q.scroll
		a.redrawAll()
	case x >= p.ruler.x0:
		a.setSpan(p.span.zoomed(x, math.Pow(zoomPerNotch, -float64(e.Scrolled.DY)/notch)))
	}
}

// MouseIn is part of desktop.Hoverable.
func (a *Area) MouseIn(e *desktop.MouseEvent) { a.MouseMoved(e) }

// MouseMoved says what is under the pointer.
func (a *Area) MouseMoved(e *desktop.MouseEvent) {
	x, y := a.pixels(e.Position)
	p := a.plan()
	at := a.hit(&p, x, y)
	if at != a.hover && a.OnHint != nil {
		a.OnHint(a.help(at))
	}
	frame := a.clip.nearest(p.span.frameAt(x))
	quiet := a.words(a.hover, a.hoverFrame) == "" && a.words(at, frame) == ""
	a.hover, a.hoverFrame, a.hoverX, a.hoverY = at, frame, x, y
	if !quiet {
		a.redraw()
	}
}

// MouseOut is part of desktop.Hoverable.
func (a *Area) MouseOut() {
	a.hover = part{}
	a.redraw()
	if a.OnHint != nil {
		a.OnHint("")
	}
}

// Cursor says what a press would do.
func (a *Area) Cursor() desktop.Cursor {
	switch a.hover.kind {
	case inEnd, outEnd, aNotch:
		return desktop.HResizeCursor
	case playButton, unitsLabel, laneName, aFlag:
		return desktop.PointerCursor
	}
	return desktop.DefaultCursor
}
