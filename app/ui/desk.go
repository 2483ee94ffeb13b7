package ui

import (
	"errors"
	"fmt"
	"time"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/view"
	"halocline/app/work"
	"halocline/colour"
	"halocline/mask"
)

// A desk is what one window works on and how it looks at it: the open study,
// and what is chosen there. Everything that shows some of it is told by
// changed. It belongs to Fyne's goroutine.
type desk struct {
	work    *work.Work     // nil while nothing is open
	session *study.Session // of work's study
	truth   *colour.Plane  // of the chosen matte, to judge by; nil for none
	trueOf  int            // the matte that truth is the truth of
	trueAt  int            // on this frame
	sample  bool           // the study is the embedded one

	frame          int    // the source's number
	ends           [2]int // the first and the last frame of the part that plays
	matteID        int    // chosen, 0 for none
	maskID         int    // chosen, 0 for none
	step           step
	view           view.View
	before         view.View // what was looked at before a step with a view of its own was opened
	compare        bool
	other          view.View    // on the left of the divider
	split          float64      // where the divider stands, in [0,1]
	beyond         bool         // show what is beyond repair
	separation     bool         // Pick says how well the dabs are told apart, in place of its numbers
	misclassified  bool         // show which pixels of the dabs the pick has wrong
	seams          bool         // show where along its edge a graded matte shows
	bypassTrial    bool         // a key is held: the trial's view shows the frame without it
	dabKind        study.Kind   // what a press makes
	press          basePress    // what a press samples while Base is open
	grey           map[int]spot // by frame: where the grey was sampled
	water          map[int]spot // by frame: where open water was sampled
	reach          mask.Reach   // which keys of a mask its moves change
	hideNeighbours bool         // a mask's neighbour keys are not drawn

	drag    *study.Drag        // an edit in the making
	start   *study.Study       // before that
	last    *study.Study       // before the edit made last
	moved   time.Time          // when the user last moved it
	changed func()             // something changed
	did     func(label string) // an edit was made
	report  func(problem)
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

func newDesk() *desk {
	return &desk{view: view.Hatch, before: view.Hatch, other: view.Frame, split: 0.5, step: stepPick, changed: func() {}, did: func(string) {}, report: func(problem) {}}
}

// open takes up a work, in place of the one before it, whose session must have
// been closed.
func (d *desk) open(w *work.Work, s *study.Session) {
	d.work, d.session = w, s
	d.truth, d.trueOf, d.trueAt, d.sample, d.grey, d.water, d.drag = nil, 0, 0, false, map[int]spot{}, map[int]spot{}, nil
	d.matteID, d.maskID, d.frame, d.reach, d.last = 0, 0, s.Study().Clip.First, mask.Here, nil
	if w.Clip != nil {
		d.ends = [2]int{w.Clip.First(), w.Clip.Last()}
	}
	d.settle()
	d.changed()
}

// settle makes sure that what is chosen exists.
func (d *desk) settle() {
	s := d.study()
	if s == nil {
		return
	}
	if s.Matte(d.matteID) == nil {
		d.matteID = 0
		if len(s.Mattes) > 0 {
			d.matteID = s.Mattes[0].ID
		}
	}
	m := d.matte()
	if m == nil || m.Mask(d.maskID) == nil {
		d.maskID = 0
		if m != nil && len(m.Masks) > 0 {
			d.maskID = m.Masks[0].ID
		}
	}
}

// study returns the study as it is now, to be read only; nil while nothing is
// open.
func (d *desk) study() *study.Study {
	if d.session == nil {
		return nil
	}
	return d.session.Study()
}

// matte returns the chosen matte, to be read only; nil for none.
func (d *desk) matte() *study.Matte {
	if s := d.study(); s != nil {
		return s.Matte(d.matteID)
	}
	return nil
}

// mask returns the chosen mask of the chosen matte, to be read only; nil for
// none.
func (d *desk) mask() *study.Mask {
	if m := d.matte(); m != nil {
		return m.Mask(d.maskID)
	}
	return nil
}

// baseNow is the base on the frame that is looked at.
func (d *desk) baseNow() colour.Base { return d.study().Base.At(d.frame) }

// dragging reports whether an edit is in the making.
func (d *desk) dragging() bool { return d.drag != nil }

// edit makes one edit. change is given a copy of the study, and of the matte
// that is chosen, nil for none.
func (d *desk) edit(label string, change func(s *study.Study, m *study.Matte) error) bool {
	if d.session == nil {
		return false
	}
	d.drag = nil // the session commits it
	before := d.study()
	if err := d.session.Edit(label, d.onChosen(change)); err != nil {
		d.settle()
		d.fail(label, err)
		return false
	}
	d.settle()
	d.changed()
	if d.study() != before {
		d.last = before
		d.did(label)
	}
	return true
}

func (d *desk) onChosen(change func(s *study.Study, m *study.Matte) error) func(*study.Study) error {
	return func(s *study.Study) error { return change(s, s.Matte(d.matteID)) }
}

// slide is edit for an edit in the making: a handle or a slider on its way. Each
// change is of the study as it was when the drag began.
func (d *desk) slide(label string, p look.Phase, change func(s *study.Study, m *study.Matte) error) {
	switch {
	case d.session == nil:
	case p == look.Cancelled:
		d.cancelDrag()
	case p == look.Done && d.drag == nil:
		d.edit(label, change)
	default:
		if d.drag == nil {
			d.drag, d.start = d.session.Begin(label), d.study()
		}
		d.moved = time.Now()
		err := d.drag.Edit(d.onChosen(change))
		if p == look.Done {
			d.drag.Commit()
			d.drag = nil
		}
		d.settle()
		d.changed()
		switch {
		case p != look.Done:
		case err != nil:
			d.fail(label, err)
		case d.study() != d.start:
			d.last = d.start
			d.did(label)
		}
	}
}

// errNoMatte is what a change of a matte gets where none is chosen.
var errNoMatte = errors.New("there is no matte: make one first")

// editMatte is edit for a change of the chosen matte alone.
func (d *desk) editMatte(label string, change func(m *study.Matte) error) bool {
	return d.edit(label, ofMatte(change))
}

// slideMatte is slide for a change of the chosen matte alone.
func (d *desk) slideMatte(label string, p look.Phase, change func(m *study.Matte) error) {
	d.slide(label, p, ofMatte(change))
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
func (d *desk) cancelDrag() bool {
	if d.drag == nil {
		return false
	}
	drag := d.drag
	d.drag = nil
	drag.Cancel()
	d.settle()
	d.changed()
	return true
}

// fail tells the user that something he asked for could not be done.
func (d *desk) fail(what string, err error) {
	d.report(problem{what: fmt.Sprintf("%s: not done", what), todo: "The study is as it was.", err: err})
}

func (d *desk) undo() { d.travel(d.session.Undo) }
func (d *desk) redo() { d.travel(d.session.Redo) }

func (d *desk) travel(move func() bool) {
	d.drag = nil
	move()
	d.settle()
	d.changed()
}

// choose makes a matte the one that everything is about.
func (d *desk) choose(matteID int) {
	d.matteID, d.maskID = matteID, 0
	d.settle()
	d.changed()
}

// ownViews are what steps are looked at in that are about colours, which a hatch
// would hide.
var ownViews = map[step]view.View{stepBase: view.Frame, stepTrial: view.Trial}

// openStep opens a step. One with a view of its own is looked at in that, and the
// view of before comes back after it; but from Trial to Edge the grade stays
// on show: who softens there does it for the grade.
func (d *desk) openStep(s step) {
	if s == d.step {
		return
	}
	toEdge := d.step == stepTrial && s == stepEdge
	if own, ok := ownViews[d.step]; ok && d.view == own && !toEdge {
		d.view = d.before
	}
	if own, ok := ownViews[s]; ok {
		if d.view != own {
			d.before = d.view
		}
		d.view = own
	}
	d.step = s
}

// set changes how the desk looks at the study, and tells all that show it.
func (d *desk) set(change func()) {
	change()
	d.changed()
}
