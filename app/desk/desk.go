package desk

import (
	"context"
	"errors"
	"fmt"
	"time"

	"halocline/app/check/shot"
	"halocline/app/desk/watch"
	"halocline/app/follow/kept"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/app/work"
	"halocline/colour"
	"halocline/mask"
)

// A Desk is an open study and what the user does with it: what is chosen, how it is
// looked at, the edits, and what is known of the chosen matte. Its methods are the
// user's acts; whoever shows some of it is told by Changed. It belongs to one
// goroutine; what works in the background comes back by Post.
type Desk struct {
	Opened
	Looking
	Listener
	background
}

// Opened is all that is about the study that is open. Another study gets another
// value, so that nothing of the last one stays.
type Opened struct {
	Work    *work.Work     // nil while nothing is open
	Session *study.Session // of work's study
	Sample  bool           // the study is the embedded one
	Truth   *colour.Plane  // of a matte, to judge by; nil for none
	TrueOf  int            // the matte that it is the truth of
	TrueAt  int            // on this frame

	Frame int    // shown; the source's number
	Ends  [2]int // the first and the last frame of the part that plays
	// endsBefore is where they were before the drag under way; nil for none.
	endsBefore *[2]int
	MatteID    int        // chosen, 0 for none
	MaskID     int        // chosen, 0 for none
	Reach      mask.Reach // which keys of a mask its moves change

	Found    watch.Findings              // of the chosen matte on one frame
	Reviewed watch.Review                // of the chosen matte against its last proof
	Offer    *Suggestion                 // what the dabs ask for, while the user decides; nil for nothing
	asked    watch.Inquiry               // last
	verdict  watch.Verdict               // on a matte over the clip
	figures  *kept.Folder                // beside the study
	lines    map[int]*shot.Timeline      // that keep the figures over the clip, by matte
	Gains    map[int]*Gain               // by matte; nil for one that was not reviewed yet
	missed   Misclassified               // as worked out last
	edge     edgeShare                   // as worked out last
	outlines foundOutlines               // of its masks, as found last
	outlined outlinesAsk                 // asked for last
	sure     map[int]map[int]sureOutline // followed outlines as found last, by mask and frame
	keeps    *kept.Place                 // where what is found of followed outlines is kept
	progress [2]int                      // of an outline that is being followed: frames done, of how many
	spare    spareSearch                 // for keys that can go
	paused   bool                        // nothing is followed until the user says so
	cause    struct {                    // asked about last; empty while it is not known
		of causeOf
		Cause
	}

	grey    map[int]Spot       // by frame: where the grey was sampled
	water   map[int]Spot       // by frame: where open water was sampled
	black   map[int]Spot       // by frame: where something black was sampled
	hidden  map[int]bool       // mattes whose outlines are not drawn and whose trials do not grade
	dabUses map[int]DabUse     // by matte: what new dabs are for, as the user said
	fitBase map[int]study.Base // by matte: the base its pick was set under
	picks   map[int]study.Pick // by matte, as last seen

	Dabs    []pressedDab // let go, the first's colours being read
	pressed *pressedDab  // not let go yet
	would   fitted       // what the pick becomes with it

	drag   *study.Drag  // an edit in the making
	dragOf int          // the matte that was chosen as it began
	start  *study.Study // before that
	last   *study.Study // before the edit made last
	Moved  time.Time    // when the user last moved it

	stopSaves context.CancelFunc // ends the keeping of unsaved work; nil: it is not kept
	noFolder  error              // why unsaved work of a study without a file has no place to be kept
	left      bool               // the session is closed

	Playing   *watch.Playing // the clip plays; nil: it does not
	Scrubbing bool           // the playhead is being dragged
	Going     bool           // another frame was gone to, and is not shown yet
}

// Looking is how the user works and looks; it goes on from one study to the next.
type Looking struct {
	Step              Step       // that is open
	View              view.View  // on the frame, right of the divider where there is one
	before            view.View  // what was looked at before a step with a view of its own was opened
	Compare           bool       // two views are shown, with a divider between them
	Other             view.View  // on the left of the divider
	Split             float64    // where the divider stands, in [0,1]
	ShowBeyond        bool       // show what is beyond repair
	ShowSeparation    bool       // Pick says how well the dabs are told apart, in place of its numbers
	ShowMisclassified bool       // show which pixels of the dabs the pick has wrong
	ShowSeam          bool       // show where along its edge a graded matte shows
	BypassTrial       bool       // a key is held: the trial's view shows the frame without it
	HideNeighbours    bool       // a mask's neighbour keys are not drawn
	Loop              bool       // what plays begins anew at its end
	DabKind           study.Kind // of the dab that a press makes while Pick is open
	Press             BasePress  // what a press samples while Base is open
	WantReview        bool       // how the matte stands against its last proof is shown
	Busy              bool       // something else needs the machine: the clip is not judged
}

// A Listener is told what happens at a desk. Every function is called on the desk's
// goroutine, and none is nil.
type Listener struct {
	Changed func()             // something changed
	Did     func(label string) // an edit was made
	Sought  func()             // the playhead is being dragged: another frame is shown
	Learned func(News)         // something is known
	Report  func(Problem)
	Note    func(text string) // about the study as it is, on the frame shown
	Post    func(func())      // runs a function on the desk's goroutine, from any other
}

// A Spot is a place sampled on the frame, in source pixels. It stands for what
// the base took from it, as long as the base has that.
type Spot struct {
	X, Y, Radius float64
	took         [3]float64
}

// A Problem is what went wrong, in words for the user.
type Problem struct {
	What string // happened
	ToDo string // about it
	Err  error  // with the details
}

// NewDesk returns a desk with nothing open. Stop ends what it does in the background.
func NewDesk(l Listener) *Desk {
	d := &Desk{Listener: l, Looking: Looking{View: view.Hatch, before: view.Hatch, Other: view.Frame, Split: 0.5, Step: StepPick}}
	d.Opened = NewOpened()
	d.startBackground()
	return d
}

// NewOpened is what there is of a study while none is open.
func NewOpened() Opened {
	return Opened{
		grey: map[int]Spot{}, water: map[int]Spot{}, black: map[int]Spot{}, hidden: map[int]bool{}, dabUses: map[int]DabUse{}, fitBase: map[int]study.Base{}, picks: map[int]study.Pick{}, Gains: map[int]*Gain{}, lines: map[int]*shot.Timeline{}, sure: map[int]map[int]sureOutline{},
	}
}

// Open takes up a work, in place of the one before it, whose session must have
// been closed.
func (d *Desk) Open(w *work.Work, s *study.Session) {
	d.Opened = NewOpened()
	d.Work, d.Session = w, s
	w.Renderer.OnFollow(d.tellFollowing(w))
	d.keepOutlines()
	d.Frame, d.Reach = s.Study().Clip.First, mask.Here
	d.Sample = w.Path == "" && work.IsSample(w.Study)
	if w.Clip != nil {
		d.Ends = [2]int{w.Clip.First(), w.Clip.Last()}
	}
	d.Settle()
	d.Refresh()
}

// Settle makes sure that the chosen matte and mask exist: else the first is chosen, or
// none where there is none.
func (d *Desk) Settle() {
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

// Study returns the study as it is now, to be read only; nil while nothing is
// open.
func (d *Desk) Study() *study.Study {
	if d.Session == nil {
		return nil
	}
	return d.Session.Study()
}

// Matte returns the chosen matte, to be read only; nil for none.
func (d *Desk) Matte() *study.Matte {
	if s := d.Study(); s != nil {
		return s.Matte(d.MatteID)
	}
	return nil
}

// Mask returns the chosen mask of the chosen matte, to be read only; nil for
// none.
func (d *Desk) Mask() *study.Mask {
	if m := d.Matte(); m != nil {
		return m.Mask(d.MaskID)
	}
	return nil
}

// BaseNow is the base on the frame shown. Something must be open.
func (d *Desk) BaseNow() colour.Base { return d.Study().Base.At(d.Frame) }

// Dragging reports whether an edit is in the making.
func (d *Desk) Dragging() bool { return d.drag != nil }

// Edit makes one edit. change is given a copy of the study, and of the matte
// that is chosen, nil for none. It reports whether that could be done.
func (d *Desk) Edit(label string, change func(s *study.Study, m *study.Matte) error) bool {
	if d.Session == nil {
		return false
	}
	d.drag = nil // the session commits it
	before := d.Study()
	if err := d.Session.Edit(label, onMatte(d.MatteID, change)); err != nil {
		d.Settle()
		d.fail(label, err)
		return false
	}
	d.Settle()
	d.Refresh()
	d.done(label, before)
	return true
}

// done tells of an edit, if the study is another than before it.
func (d *Desk) done(label string, before *study.Study) {
	if d.Study() == before {
		return
	}
	d.last = before
	d.KeepSaving()
	d.noteEdit()
	if text := d.newKeys(); text != "" {
		d.Note(text)
	}
	d.Did(label)
}

func onMatte(id int, change func(s *study.Study, m *study.Matte) error) func(*study.Study) error {
	return func(s *study.Study) error { return change(s, s.Matte(id)) }
}

// Slide is Edit for an edit in the making: a handle or a slider on its way. Each
// change is of the study as it was when the drag began, and of the matte that was chosen
// then; where the last one cannot be done, the study is as it was.
func (d *Desk) Slide(label string, p study.Phase, change func(s *study.Study, m *study.Matte) error) {
	switch {
	case d.Session == nil:
	case p == study.Cancelled:
		d.CancelDrag()
	case p == study.Done && d.drag == nil:
		d.Edit(label, change)
	default:
		if d.drag == nil {
			d.drag, d.dragOf, d.start = d.Session.Begin(label), d.MatteID, d.Study()
		}
		d.Moved = time.Now()
		err := d.drag.Edit(onMatte(d.dragOf, change))
		if p == study.Done {
			d.endDrag(err == nil)
		}
		d.Settle()
		d.Refresh()
		switch {
		case p != study.Done:
		case err != nil:
			d.fail(label, err)
		default:
			d.done(label, d.start)
		}
	}
}

// endDrag makes an edit of the one in the making, or gives it up.
func (d *Desk) endDrag(made bool) {
	if made {
		d.drag.Commit()
	} else {
		d.drag.Cancel()
	}
	d.drag = nil
}

// ErrNoMatte is what a change of a matte gets where none is chosen.
var ErrNoMatte = errors.New("there is no matte: make one first")

// EditMatte is Edit for a change of the chosen matte alone.
func (d *Desk) EditMatte(label string, change func(m *study.Matte) error) bool {
	return d.Edit(label, ofMatte(change))
}

// SlideMatte is Slide for a change of the chosen matte alone.
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
			return ErrNoMatte
		}
		return change(s, m)
	}
}

// CancelDrag takes back the edit in the making, and reports whether there was
// one.
func (d *Desk) CancelDrag() bool {
	if d.drag == nil {
		return false
	}
	d.endDrag(false)
	d.Settle()
	d.Refresh()
	return true
}

// fail tells the user that something he asked for could not be done.
func (d *Desk) fail(what string, err error) {
	d.Report(Problem{What: fmt.Sprintf("%s: not done", what), ToDo: "The study is as it was.", Err: err})
}

// Undo takes the last edit back. One in the making is made first, and taken back.
func (d *Desk) Undo() { d.travel((*study.Session).Undo) }

// Redo makes the edit again that was taken back last.
func (d *Desk) Redo() { d.travel((*study.Session).Redo) }

func (d *Desk) travel(move func(*study.Session) bool) {
	if d.Session == nil {
		return
	}
	d.drag = nil
	if move(d.Session) {
		d.KeepSaving() // a drag that was taken back has not begun that
	}
	d.Settle()
	d.Refresh()
}

// Choose makes a matte the one that everything is about.
func (d *Desk) Choose(matteID int) {
	d.MatteID, d.MaskID = matteID, 0
	d.Settle()
	d.Refresh()
}

// Set changes how the study is looked at, and tells all that show it.
func (d *Desk) Set(change func()) {
	change()
	d.Refresh()
}
