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

// A bench is what one window works on and how it looks at it: the open study,
// and what is chosen there. Everything that shows some of it is told by
// changed. It belongs to Fyne's goroutine.
type bench struct {
	work    *work.Work     // nil while nothing is open
	session *study.Session // of work's study
	truth   *colour.Plane  // of the chosen matte, to judge by; nil for none
	trueOf  int            // the matte that truth is the truth of
	trueAt  int            // on this frame
	sample  bool           // the study is the embedded one

	frame   int    // the source's number
	ends    [2]int // the first and the last frame of the part that plays
	matteID int    // chosen, 0 for none
	maskID  int    // chosen, 0 for none
	step    step
	view    view.View
	before  view.View // what was looked at before a step with a view of its own was opened
	compare bool
	other   view.View    // on the left of the divider
	split   float64      // where the divider stands, in [0,1]
	beyond  bool         // show what is beyond repair
	parting bool         // Pick says how far the dabs are parted, in place of its numbers
	misses  bool         // show which pixels of the dabs the pick has wrong
	seams   bool         // show where along its edge a graded matte shows
	without bool         // a key is held: the trial's view shows the frame without it
	dabKind study.Kind   // what a press makes
	press   basePress    // what a press samples while Base is open
	grey    map[int]spot // by frame: where the grey was sampled
	water   map[int]spot // by frame: where open water was sampled
	reach   mask.Reach   // which keys of a mask its moves change
	lonely  bool         // a mask's neighbour keys are not drawn

	drag    *study.Drag        // a step in the making
	start   *study.Study       // before that
	last    *study.Study       // before the step made last
	moved   time.Time          // when the user last moved it
	changed func()             // something changed
	did     func(label string) // a step was made
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

func newBench() *bench {
	return &bench{view: view.Hatch, before: view.Hatch, other: view.Frame, split: 0.5, step: stepPick, changed: func() {}, did: func(string) {}, report: func(problem) {}}
}

// open takes up a work, in place of the one before it, whose session must have
// been closed.
func (b *bench) open(w *work.Work, s *study.Session) {
	b.work, b.session = w, s
	b.truth, b.trueOf, b.trueAt, b.sample, b.grey, b.water, b.drag = nil, 0, 0, false, map[int]spot{}, map[int]spot{}, nil
	b.matteID, b.maskID, b.frame, b.reach, b.last = 0, 0, s.Study().Clip.First, mask.Here, nil
	if w.Clip != nil {
		b.ends = [2]int{w.Clip.First(), w.Clip.Last()}
	}
	b.settle()
	b.changed()
}

// settle makes sure that what is chosen exists.
func (b *bench) settle() {
	s := b.study()
	if s == nil {
		return
	}
	if s.Matte(b.matteID) == nil {
		b.matteID = 0
		if len(s.Mattes) > 0 {
			b.matteID = s.Mattes[0].ID
		}
	}
	m := b.matte()
	if m == nil || m.Mask(b.maskID) == nil {
		b.maskID = 0
		if m != nil && len(m.Masks) > 0 {
			b.maskID = m.Masks[0].ID
		}
	}
}

// study returns the study as it is now, to be read only; nil while nothing is
// open.
func (b *bench) study() *study.Study {
	if b.session == nil {
		return nil
	}
	return b.session.Study()
}

// matte returns the chosen matte, to be read only; nil for none.
func (b *bench) matte() *study.Matte {
	if s := b.study(); s != nil {
		return s.Matte(b.matteID)
	}
	return nil
}

// mask returns the chosen mask of the chosen matte, to be read only; nil for
// none.
func (b *bench) mask() *study.Mask {
	if m := b.matte(); m != nil {
		return m.Mask(b.maskID)
	}
	return nil
}

// baseNow is the base on the frame that is looked at.
func (b *bench) baseNow() colour.Base { return b.study().Base.At(b.frame) }

// dragging reports whether a step is in the making.
func (b *bench) dragging() bool { return b.drag != nil }

// edit makes one step. change is given a copy of the study, and of the matte
// that is chosen, nil for none.
func (b *bench) edit(label string, change func(s *study.Study, m *study.Matte) error) bool {
	if b.session == nil {
		return false
	}
	b.drag = nil // the session commits it
	before := b.study()
	if err := b.session.Edit(label, b.onChosen(change)); err != nil {
		b.settle()
		b.fail(label, err)
		return false
	}
	b.settle()
	b.changed()
	if b.study() != before {
		b.last = before
		b.did(label)
	}
	return true
}

func (b *bench) onChosen(change func(s *study.Study, m *study.Matte) error) func(*study.Study) error {
	return func(s *study.Study) error { return change(s, s.Matte(b.matteID)) }
}

// slide is edit for a step in the making: a handle or a slider on its way. Each
// change is of the study as it was when the drag began.
func (b *bench) slide(label string, p look.Phase, change func(s *study.Study, m *study.Matte) error) {
	switch {
	case b.session == nil:
	case p == look.Cancelled:
		b.cancelDrag()
	case p == look.Done && b.drag == nil:
		b.edit(label, change)
	default:
		if b.drag == nil {
			b.drag, b.start = b.session.Begin(label), b.study()
		}
		b.moved = time.Now()
		err := b.drag.Edit(b.onChosen(change))
		if p == look.Done {
			b.drag.Commit()
			b.drag = nil
		}
		b.settle()
		b.changed()
		switch {
		case p != look.Done:
		case err != nil:
			b.fail(label, err)
		case b.study() != b.start:
			b.last = b.start
			b.did(label)
		}
	}
}

// errNoMatte is what a change of a matte gets where none is chosen.
var errNoMatte = errors.New("there is no matte: make one first")

// editMatte is edit for a change of the chosen matte alone.
func (b *bench) editMatte(label string, change func(m *study.Matte) error) bool {
	return b.edit(label, ofMatte(change))
}

// slideMatte is slide for a change of the chosen matte alone.
func (b *bench) slideMatte(label string, p look.Phase, change func(m *study.Matte) error) {
	b.slide(label, p, ofMatte(change))
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

// cancelDrag takes back the step in the making, and reports whether there was
// one.
func (b *bench) cancelDrag() bool {
	if b.drag == nil {
		return false
	}
	d := b.drag
	b.drag = nil
	d.Cancel()
	b.settle()
	b.changed()
	return true
}

// fail tells the user that something he asked for could not be done.
func (b *bench) fail(what string, err error) {
	b.report(problem{what: fmt.Sprintf("%s: not done", what), todo: "The study is as it was.", err: err})
}

func (b *bench) undo() { b.travel(b.session.Undo) }
func (b *bench) redo() { b.travel(b.session.Redo) }

func (b *bench) travel(move func() bool) {
	b.drag = nil
	move()
	b.settle()
	b.changed()
}

// choose makes a matte the one that everything is about.
func (b *bench) choose(matteID int) {
	b.matteID, b.maskID = matteID, 0
	b.settle()
	b.changed()
}

// ownViews are what steps are looked at in that are about colours, which a hatch
// would hide.
var ownViews = map[step]view.View{stepBase: view.Frame, stepTrial: view.Trial}

// openStep opens a step. One with a view of its own is looked at in that, and the
// view of before comes back after it; but from Trial to Edge the grade stays in
// sight: who softens there does it for the grade.
func (b *bench) openStep(s step) {
	if s == b.step {
		return
	}
	toEdge := b.step == stepTrial && s == stepEdge
	if own, ok := ownViews[b.step]; ok && b.view == own && !toEdge {
		b.view = b.before
	}
	if own, ok := ownViews[s]; ok {
		if b.view != own {
			b.before = b.view
		}
		b.view = own
	}
	b.step = s
}

// set changes how the bench looks at the study, and tells all that show it.
func (b *bench) set(change func()) {
	change()
	b.changed()
}
