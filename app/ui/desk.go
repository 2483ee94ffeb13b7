package ui

import (
	"errors"
	"fmt"
	"time"

	"halocline/app/study"
	"halocline/app/view"
	"halocline/app/work"
	"halocline/colour"
	"halocline/mask"
)

// A Desk is what one window works on and how it looks at it: the open study,
// and what is chosen there. Everything that shows some of it is told by
// changed. It belongs to Fyne's goroutine.
type Desk struct {
	Work    *work.Work     // nil while nothing is open
	Session *study.Session // of work's study
	Truth   *colour.Plane  // of the chosen matte, to judge by; nil for none
	TrueOf  int            // the matte that truth is the truth of
	TrueAt  int            // on this frame
	Sample  bool           // the study is the embedded one

	Frame             int    // the source's number
	Ends              [2]int // the first and the last frame of the part that plays
	MatteID           int    // chosen, 0 for none
	MaskID            int    // chosen, 0 for none
	Step              step
	View              view.View
	before            view.View // what was looked at before a step with a view of its own was opened
	Compare           bool
	Other             view.View    // on the left of the divider
	Split             float64      // where the divider stands, in [0,1]
	ShowBeyond        bool         // show what is beyond repair
	ShowSeparation    bool         // Pick says how well the dabs are told apart, in place of its numbers
	ShowMisclassified bool         // show which pixels of the dabs the pick has wrong
	ShowSeam          bool         // show where along its edge a graded matte shows
	BypassTrial       bool         // a key is held: the trial's view shows the frame without it
	DabKind           study.Kind   // what a press makes
	Press             BasePress    // what a press samples while Base is open
	grey              map[int]spot // by frame: where the grey was sampled
	water             map[int]spot // by frame: where open water was sampled
	Reach             mask.Reach   // which keys of a mask its moves change
	HideNeighbours    bool         // a mask's neighbour keys are not drawn

	drag    *study.Drag        // an edit in the making
	start   *study.Study       // before that
	last    *study.Study       // before the edit made last
	Moved   time.Time          // when the user last moved it
	Changed func()             // something changed
	Did     func(label string) // an edit was made
	Report  func(problem)
}

// A spot is a place sampled on the frame, in source pixels. It stands for what
// the base took from it, as long as the base has that.
type spot struct {
	x, y, radius float64
	took         [3]float64
}

// A problem is what went wrong, in words for the user.
type problem struct {
	what string // happened
	todo string // about it
	err  error  // with the details
}

func newDesk() *Desk {
	return &Desk{View: view.Hatch, before: view.Hatch, Other: view.Frame, Split: 0.5, Step: StepPick, Changed: func() {}, Did: func(string) {}, Report: func(problem) {}}
}

// open takes up a work, in place of the one before it, whose session must have
// been closed.
func (d *Desk) open(w *work.Work, s *study.Session) {
	d.Work, d.Session = w, s
	d.Truth, d.TrueOf, d.TrueAt, d.Sample, d.grey, d.water, d.drag = nil, 0, 0, false, map[int]spot{}, map[int]spot{}, nil
	d.MatteID, d.MaskID, d.Frame, d.Reach, d.last = 0, 0, s.Study().Clip.First, mask.Here, nil
	if w.Clip != nil {
		d.Ends = [2]int{w.Clip.First(), w.Clip.Last()}
	}
	d.settle()
	d.Changed()
}

// settle makes sure that what is chosen exists.
func (d *Desk) settle() {
	s := d.Study()
	if s == nil {
		return
	}
	if s.Matte(d.MatteID) == nil {
		d.MatteID = 0
		if len(s.Mattes) > 0 {
			d.MatteID = s.Mattes[0].ID
		}
	}
	m := d.Matte()
	if m == nil || m.Mask(d.MaskID) == nil {
		d.MaskID = 0
		if m != nil && len(m.Masks) > 0 {
			d.MaskID = m.Masks[0].ID
		}
	}
}

// study returns the study as it is now, to be read only; nil while nothing is
// open.
func (d *Desk) Study() *study.Study {
	if d.Session == nil {
		return nil
	}
	return d.Session.Study()
}

// matte returns the chosen matte, to be read only; nil for none.
func (d *Desk) Matte() *study.Matte {
	if s := d.Study(); s != nil {
		return s.Matte(d.MatteID)
	}
	return nil
}

// mask returns the chosen mask of the chosen matte, to be read only; nil for
// none.
func (d *Desk) Mask() *study.Mask {
	if m := d.Matte(); m != nil {
		return m.Mask(d.MaskID)
	}
	return nil
}

// baseNow is the base on the frame that is looked at.
func (d *Desk) BaseNow() colour.Base { return d.Study().Base.At(d.Frame) }

// dragging reports whether an edit is in the making.
func (d *Desk) Dragging() bool { return d.drag != nil }

// edit makes one edit. change is given a copy of the study, and of the matte
// that is chosen, nil for none.
func (d *Desk) Edit(label string, change func(s *study.Study, m *study.Matte) error) bool {
	if d.Session == nil {
		return false
	}
	d.drag = nil // the session commits it
	before := d.Study()
	if err := d.Session.Edit(label, d.onChosen(change)); err != nil {
		d.settle()
		d.fail(label, err)
		return false
	}
	d.settle()
	d.Changed()
	if d.Study() != before {
		d.last = before
		d.Did(label)
	}
	return true
}

func (d *Desk) onChosen(change func(s *study.Study, m *study.Matte) error) func(*study.Study) error {
	return func(s *study.Study) error { return change(s, s.Matte(d.MatteID)) }
}

// slide is edit for an edit in the making: a handle or a slider on its way. Each
// change is of the study as it was when the drag began.
func (d *Desk) Slide(label string, p study.Phase, change func(s *study.Study, m *study.Matte) error) {
	switch {
	case d.Session == nil:
	case p == study.Cancelled:
		d.CancelDrag()
	case p == study.Done && d.drag == nil:
		d.Edit(label, change)
	default:
		if d.drag == nil {
			d.drag, d.start = d.Session.Begin(label), d.Study()
		}
		d.Moved = time.Now()
		err := d.drag.Edit(d.onChosen(change))
		if p == study.Done {
			d.drag.Commit()
			d.drag = nil
		}
		d.settle()
		d.Changed()
		switch {
		case p != study.Done:
		case err != nil:
			d.fail(label, err)
		case d.Study() != d.start:
			d.last = d.start
			d.Did(label)
		}
	}
}

// errNoMatte is what a change of a matte gets where none is chosen.
var errNoMatte = errors.New("there is no matte: make one first")

// editMatte is edit for a change of the chosen matte alone.
func (d *Desk) EditMatte(label string, change func(m *study.Matte) error) bool {
	return d.Edit(label, ofMatte(change))
}

// slideMatte is slide for a change of the chosen matte alone.
func (d *Desk) SlideMatte(label string, p study.Phase, change func(m *study.Matte) error) {
	d.Slide(label, p, ofMatte(change))
}

func ofMatte(change func(m *study.Matte) error) func(*study.Study, *study.Matte) error {
	return withMatte(func(_ *study.Study, m *study.Matte) error { return change(m) })
}

// withMatte is a change that there must be a matte for.
func withMatte(change func(s *study.Study, m *study.Matte) error) func(*study.Study, *study.Matte) error {
	return func(s *study.Study, m *study.Matte) error {
		if m == nil {
			return errNoMatte
		}
		return change(s, m)
	}
}

// cancelDrag takes back the edit in the making, and reports whether there was
// one.
func (d *Desk) CancelDrag() bool {
	if d.drag == nil {
		return false
	}
	drag := d.drag
	d.drag = nil
	drag.Cancel()
	d.settle()
	d.Changed()
	return true
}

// fail tells the user that something he asked for could not be done.
func (d *Desk) fail(what string, err error) {
	d.Report(problem{what: fmt.Sprintf("%s: not done", what), todo: "The study is as it was.", err: err})
}

func (d *Desk) Undo() { d.travel(d.Session.Undo) }
func (d *Desk) Redo() { d.travel(d.Session.Redo) }

func (d *Desk) travel(move func() bool) {
	d.drag = nil
	move()
	d.settle()
	d.Changed()
}

// choose makes a matte the one that everything is about.
func (d *Desk) Choose(matteID int) {
	d.MatteID, d.MaskID = matteID, 0
	d.settle()
	d.Changed()
}

// ownViews are what steps are looked at in that are about colours, which a hatch
// would hide.
var ownViews = map[step]view.View{StepBase: view.Frame, StepTrial: view.Trial}

// openStep opens a step. One with a view of its own is looked at in that, and the
// view of before comes back after it; but from Trial to Edge the grade stays
// on show: who softens there does it for the grade.
func (d *Desk) OpenStep(s step) {
	if s == d.Step {
		return
	}
	toEdge := d.Step == StepTrial && s == StepEdge
	if own, ok := ownViews[d.Step]; ok && d.View == own && !toEdge {
		d.View = d.before
	}
	if own, ok := ownViews[s]; ok {
		if d.View != own {
			d.before = d.View
		}
		d.View = own
	}
	d.Step = s
}

// set changes how the desk looks at the study, and tells all that show it.
func (d *Desk) Set(change func()) {
	change()
	d.Changed()
}
