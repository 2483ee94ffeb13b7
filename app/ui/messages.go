package ui

import (
	"errors"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/clip"
	"halocline/app/desk"
	"halocline/app/ui/journal"
	"halocline/app/ui/look"
)

// Messages lie over the head of the view, one at a time: what went wrong, and what
// the user is asked.
type messages struct {
	bands   [2]*look.Band // by kind: Failed, Caution
	journal *journal.Journal
	details func(desk.Problem) // opens them
	relay   func()             // lays out what stands around a message
	all     fyne.CanvasObject
}

func newMessages(j *journal.Journal, details func(desk.Problem), relay func()) *messages {
	m := &messages{journal: j, details: details, relay: relay}
	for _, k := range []look.BandKind{look.Failed, look.Caution} {
		m.bands[k] = look.NewBand(k)
		m.bands[k].OnClosed(relay)
	}
	m.all = container.New(atTop{}, m.bands[look.Failed], m.bands[look.Caution])
	return m
}

func (m *messages) object() fyne.CanvasObject { return m.all }

// Report says what went wrong. Buttons offer ways out.
func (m *messages) Report(p desk.Problem, buttons ...*look.Button) {
	m.journal.Tell("problem %s", p.What)
	if p.Err == nil {
		m.say(look.Caution, p.What, p.ToDo, nil, buttons)
		return
	}
	what, todo := p.What, p.ToDo
	switch reason := p.Reason(smallLength); {
	case utf8.RuneCountInString(what+": "+reason) <= lineLength:
		what += ": " + reason
	case utf8.RuneCountInString(reason+". "+todo) <= smallLength:
		todo = desk.Capital(reason) + ". " + todo
	default: // the reason says what to do, or Details do
		todo = desk.Capital(reason)
	}
	m.say(look.Failed, what, todo, func() { m.details(p) }, buttons)
}

// How many characters a message's first line has room for in a low window, and its second, in
// small letters.
const (
	lineLength  = 84
	smallLength = 116
)

// Ask asks what the buttons answer.
func (m *messages) Ask(what, todo string, buttons ...*look.Button) {
	m.say(look.Caution, what, todo, nil, buttons)
}

// say shows a message in place of any other.
func (m *messages) say(kind look.BandKind, what, todo string, details func(), buttons []*look.Button) {
	m.Hide()
	b := m.bands[kind]
	b.SetButtons(buttons...)
	b.OnDetails(details)
	b.Say(what, todo)
	m.relay()
}

// Hide takes the message away.
func (m *messages) Hide() {
	for _, b := range m.bands {
		if b.Visible() {
			b.Close()
		}
	}
}

// Showing reports whether there is a message.
func (m *messages) Showing() bool { return m.shown() != nil }

// shown is the band that can be seen; nil for none.
func (m *messages) shown() *look.Band {
	for _, b := range m.bands {
		if b.Visible() {
			return b
		}
	}
	return nil
}

// saysUnshown reports whether the message is that the frame cannot be shown.
func (m *messages) saysUnshown() bool {
	b := m.shown()
	return b != nil && strings.HasPrefix(b.What(), unshown)
}

// unshown is what is said while the viewer has nothing to show.
const unshown = "The frame cannot be shown"

// cannotShow says once why the frame is not shown: the message changes the
// viewer's size, which asks for the frame again.
func (m *messages) cannotShow(err error) {
	if m.saysUnshown() {
		return
	}
	p := desk.Problem{What: unshown, ToDo: "Put the file back, or open another study.", Err: err}
	var file *clip.Error
	if errors.Is(err, clip.ErrDamaged) && errors.As(err, &file) {
		p.What = unshown + ": " + filepath.Base(file.Path) + " is damaged"
		p.ToDo = "Put a whole copy in its place, or go to another frame."
	}
	m.Report(p)
}

// canShow takes that back.
func (m *messages) canShow() {
	if m.saysUnshown() {
		m.Hide()
	}
}
