package study

import (
	"errors"
	"reflect"
	"slices"
	"sync"
)

// A Session owns the study that is being worked on. Edits go in by one door,
// Edit or a Drag; each can be undone. A session may be used from
// several goroutines.
type Session struct {
	door sync.Mutex // held while an edit is made, so that edits come one by one
	disk sync.Mutex // held while a file is written or removed

	mu   sync.Mutex // guards what follows
	now  *Study     // never changed, only replaced
	undo []edit
	redo []edit
	next int // no id from here on was ever used, not even in an undone edit
	drag *Drag

	path     string    // "" until saved
	saved    *Study    // as the file at path has it
	fresh    *Study    // as it was made of footage: nobody has worked on it
	file     FileState // of the file at path, as it was read or written last
	autosave string    // the file that keeps what is not saved, "" for none
	kept     *Study    // as the file that keeps it has it
	keep     keeping
	closed   bool
}

// An edit is a study as it was before an edit, or after an undone one; or what an act beside
// the study is turned back and forth by.
type edit struct {
	label string
	study *Study
	turn  func() // nil for an edit of the study
}

// undoLimit is how many edits are kept: more than a day's work of one edit
// every two seconds. They share all lists that an edit left alone.
const undoLimit = 16_384

// NewSession is LoadedSession where the file counts as it is now, which is read.
func NewSession(s *Study, path string) *Session {
	if path == "" {
		return LoadedSession(s, "", FileState{})
	}
	state, _ := stateAt(path) // what cannot be read counts as changed
	return LoadedSession(s, path, state)
}

// LoadedSession returns a session of a study and of the file it was loaded from, "" if it
// has none, which was then in the given state (LoadState). The study must not be changed
// afterwards. The file is not read. Unsaved work that lies beside it is left alone; look
// for it with Recover.
func LoadedSession(s *Study, path string, state FileState) *Session {
	session := &Session{now: s, next: s.Next, path: path}
	if path == "" {
		session.fresh = s
		return session
	}
	session.autosave = AutosavePath(path)
	session.saved, session.kept, session.file = s, s, state
	return session
}

// Study returns the study as it is now. It will not change: a later edit makes
// another one. It must not be written to; save it through the session.
func (s *Session) Study() *Study {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now
}

// Edit changes a copy of the study and, if change succeeds and the outcome is
// valid, makes the copy current: a failed edit leaves nothing half done. label
// is what Undo is called in a menu. A change that alters nothing is no edit. A drag
// that is open is committed first. change must not call the session.
func (s *Session) Edit(label string, change func(*Study) error) error {
	s.door.Lock()
	defer s.door.Unlock()
	s.commit(s.openDrag())
	before := s.Study()
	after, err := s.changed(before, change)
	if err != nil || after == before {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now, s.next = after, max(s.next, after.Next)
	s.push(edit{label, before, nil})
	return nil
}

// Beside adds an act to what can be undone that is no change of the study, such as which part of
// the clip is worked on. turn takes it back, makes it again, and so on; it must not call the session.
func (s *Session) Beside(label string, turn func()) {
	s.door.Lock()
	defer s.door.Unlock()
	s.commit(s.openDrag())
	s.mu.Lock()
	defer s.mu.Unlock()
	s.push(edit{label, nil, turn})
}

// changed returns a changed copy of a study, or the study itself where the
// change altered nothing.
func (s *Session) changed(before *Study, change func(*Study) error) (*Study, error) {
	after := before.Clone()
	after.Next = max(before.Next, s.toWrite().next)
	if err := change(after); err != nil {
		return nil, err
	}
	after.tidy()
	if err := after.Validate(); err != nil {
		return nil, err
	}
	if same(before, after) {
		return before, nil
	}
	after.share(before)
	return after, nil
}

// same reports whether two studies differ at most in the ids they have used.
func same(a, b *Study) bool {
	c := *a
	c.Next = b.Next
	return reflect.DeepEqual(&c, b)
}

// push adds an edit; s.mu is locked.
func (s *Session) push(back edit) {
	s.redo = nil
	s.undo = append(s.undo, back)
	if len(s.undo) > undoLimit {
		s.undo = slices.Delete(s.undo, 0, len(s.undo)-undoLimit)
	}
}

// Undo takes the last edit back and reports whether there was one. A drag that
// is open is committed first. Ids that were given out stay used.
func (s *Session) Undo() bool { return s.move(&s.undo, &s.redo) }

// Redo makes the edit that was taken back last, and reports whether there was one.
func (s *Session) Redo() bool { return s.move(&s.redo, &s.undo) }

func (s *Session) move(from, to *[]edit) bool {
	s.door.Lock()
	defer s.door.Unlock()
	s.commit(s.openDrag())
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(*from) == 0 {
		return false
	}
	last := len(*from) - 1
	top := (*from)[last]
	(*from)[last] = edit{} // let go of the study
	*from = (*from)[:last]
	if top.turn != nil {
		*to = append(*to, top)
		top.turn()
		return true
	}
	*to = append(*to, edit{top.label, s.now, nil})
	s.now = top.study
	return true
}

// UndoLabels returns the labels of the edits that can be undone, the next one
// first.
func (s *Session) UndoLabels() []string { return s.labels(&s.undo) }

// RedoLabels returns the labels of the edits that can be redone, the next one
// first.
func (s *Session) RedoLabels() []string { return s.labels(&s.redo) }

func (s *Session) labels(edits *[]edit) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	labels := make([]string, 0, len(*edits))
	for _, e := range slices.Backward(*edits) {
		labels = append(labels, e.label)
	}
	return labels
}

// A Drag is one edit in the making: a handle or a slider on its way.
type Drag struct {
	s     *Session
	label string
	start *Study
}

// errEnded is what an edit of a drag gets that is no longer open.
var errEnded = errors.New("study: the drag has ended")

// Begin opens a drag. One that is open is committed first.
func (s *Session) Begin(label string) *Drag {
	s.door.Lock()
	defer s.door.Unlock()
	s.commit(s.openDrag())
	s.mu.Lock()
	defer s.mu.Unlock()
	s.drag = &Drag{s, label, s.now}
	return s.drag
}

func (s *Session) openDrag() *Drag {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.drag
}

// Edit shows a change of the study as it was when the drag began: of several,
// the last one counts. A failed edit leaves what the one before it made.
func (d *Drag) Edit(change func(*Study) error) error {
	s := d.s
	s.door.Lock()
	defer s.door.Unlock()
	if s.openDrag() != d {
		return errEnded
	}
	after, err := s.changed(d.start, change)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now, s.next = after, max(s.next, after.Next)
	return nil
}

// Commit ends the drag as one edit, or as none if nothing was altered.
func (d *Drag) Commit() {
	d.s.door.Lock()
	defer d.s.door.Unlock()
	if d.s.openDrag() == d {
		d.s.commit(d)
	}
}

func (s *Session) commit(d *Drag) {
	if d == nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.drag = nil
	if s.now != d.start {
		s.push(edit{d.label, d.start, nil})
	}
}

// Cancel ends the drag and brings back the study as it was when it began.
func (d *Drag) Cancel() {
	s := d.s
	s.door.Lock()
	defer s.door.Unlock()
	if s.openDrag() != d {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.drag, s.now = nil, d.start
}

// A Phase says how far the user is with an act: a handle or a slider is under way,
// has been let go, or was given up.
type Phase int

const (
	Moved Phase = iota
	Done
	Cancelled
)
