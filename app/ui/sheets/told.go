package sheets

import (
	"fmt"
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// OpenHistory lists the edits that were made, to go back to any of them. travel makes
// a move through them and shows what it changed.
func (s *Sheets) OpenHistory(travel func(move func())) {
	var lines []Line
	add := func(text string, c color.Color, move func()) {
		lines = append(lines, Line{look.NewLabel(text, look.Style{Size: look.BodySize, Colour: c}), "Go there", move})
	}
	session := s.desk.Session
	redo := session.RedoLabels()
	for i := len(redo) - 1; i >= 0; i-- {
		add("again: "+redo[i], look.Third, func() { travel(func() { repeat(i+1, s.desk.Redo) }) })
	}
	add("now", look.AccentText, func() {})
	for i, label := range session.UndoLabels() {
		add("before: "+label, look.Text, func() { travel(func() { repeat(i+1, s.desk.Undo) }) })
	}
	s.List("Edits made", "The newest first. Press one to go back to before it.", lines, fyne.NewSize(520, 520), "Close")
}

func repeat(n int, f func()) {
	for range n {
		f()
	}
}

// Keys are the keys of one part of the window.
type Keys struct {
	Part string
	Keys [][2]string // each key in words, and what it does
}

// OpenKeys lists keys in three columns.
func (s *Sheets) OpenKeys(parts []Keys) {
	lines := keyLines(parts)
	columns := container.New(layout.NewGridLayout(3))
	each := (len(lines) + 2) / 3
	for i := 0; i < len(lines); i += each {
		columns.Add(look.VBox(0, lines[i:min(i+each, len(lines))]...))
	}
	s.tell("Keys", "Tab goes round the window. What has no key is in the menus.", container.NewVScroll(columns), fyne.NewSize(1120, 700))
}

func keyLines(parts []Keys) (lines []fyne.CanvasObject) {
	for _, p := range parts {
		lines = append(lines, look.Pad(0, 8, 0, 2, look.NewLabel(p.Part, look.Style{Size: look.BodySize, Colour: look.AccentText, Bold: true})))
		for _, k := range p.Keys {
			lines = append(lines, look.Fixed(320, 19, container.NewBorder(nil, nil,
				look.NewFixedLabel(132, k[0], look.Style{Size: look.SmallSize, Colour: look.White}), nil,
				look.NewLabel(k[1], look.Style{Size: look.SmallSize, Colour: look.Second}))))
		}
	}
	return lines
}

// How many characters a line of small words on a sheet has room for, and on one that asks
// for a text.
const (
	lineLength = 105
	shortLine  = 56
)

// OpenDetails says all that is known about a problem.
func (s *Sheets) OpenDetails(p desk.Problem) {
	s.tell(p.What, p.ToDo, container.NewVScroll(wrapped(Plain(p.Err))), fyne.NewSize(620, 300))
}

// OpenAbout says what a program of a name is.
func (s *Sheets) OpenAbout(program string) {
	text := wrapped("For isolating parts of a picture: soft ranges of colour, feathered masks, and the reason why any pixel is in or out.\n\n" +
		"A halocline is the soft border between two waters.\n\nColour: IEC 61966-2-1, CSS Color 4 and CIE 15. Water: Jerlov 1976.")
	s.tell(program, fmt.Sprintf("study format %d", study.Version), text, fyne.NewSize(520, 330))
}

func wrapped(text string) fyne.CanvasObject {
	l := widget.NewLabel(text)
	l.Wrapping = fyne.TextWrapWord
	return l
}

// tell shows something that there is nothing to answer to.
func (s *Sheets) tell(title, about string, body fyne.CanvasObject, size fyne.Size) {
	done := look.NewButton("Close", s.Close)
	s.Open(title, about, body, size, Buttons(nil, done), done)
}

// Plain is an error without the name of the part of the program it comes from.
func Plain(err error) string {
	text := err.Error()
	for _, part := range []string{"export: ", "study: ", "render: ", "clip: ", "work: ", "mask: ", "selection: ", "contact: ", "carry: "} {
		text = strings.TrimPrefix(text, part)
	}
	return text
}
