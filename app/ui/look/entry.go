package look

import (
	"fyne.io/fyne/v2"

	"halocline/app/study"
)

// Entry is a line of text. Return and leaving commit, Esc restores.
type Entry struct {
	box
	text   string
	edited func(text string, p study.Phase)
}

// NewEntry is an empty entry with a quiet text where nothing is in it. edited
// hears of the user's changes alone, each of them Done.
func NewEntry(placeholder, hint string, edited func(text string, p study.Phase)) *Entry {
	e := &Entry{edited: edited}
	e.start(e, hint, 60)
	e.edit.SetPlaceHolder(placeholder)
	e.edit.commit, e.edit.cancel = e.commit, e.cancel
	return e
}

// Set shows a text, silently. What the user is typing is replaced only where
// the text is another.
func (e *Entry) Set(text string) {
	if e.text == text {
		return
	}
	e.text = text
	e.setProblem("")
	e.edit.show(text)
	e.Refresh()
}

// Text is the text that was committed last.
func (e *Entry) Text() string { return e.text }

// Typed names who hears of each letter, before anything is committed.
func (e *Entry) Typed(heard func(text string)) {
	before := e.edit.OnChanged
	e.edit.OnChanged = func(text string) {
		before(text)
		heard(text)
	}
}

func (e *Entry) commit() {
	if e.edit.Text == e.text {
		return
	}
	e.text = e.edit.Text
	if e.edited != nil {
		e.edited(e.text, study.Done)
	}
}

func (e *Entry) cancel() {
	if e.edit.Text != e.text {
		e.edit.show(e.text)
		e.Refresh()
		return
	}
	if in := canvasOf(e); in != nil {
		in.Unfocus()
		if next := in.OnTypedKey(); next != nil { // nothing to restore: Esc means what it means in the window
			next(&fyne.KeyEvent{Name: fyne.KeyEscape})
		}
	}
}

// Now is the text as it stands, committed or not.
func (e *Entry) Now() string { return e.edit.Text }

// OnSubmitted names who hears when Return commits the text.
func (e *Entry) OnSubmitted(heard func()) {
	e.edit.OnSubmitted = func(string) {
		e.commit()
		heard()
	}
}

// Focusable is what to give the keyboard to.
func (e *Entry) Focusable() fyne.Focusable { return e.edit }
