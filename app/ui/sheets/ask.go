package sheets

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// AskName asks for a name. take says what is wrong with it, or uses it.
func (s *Sheets) AskName(title, old string, take func(string) error) {
	s.AskText(title, "", "Rename", "name", old, take)
}

// AskText asks for a line of text, what, which a button of the label takes.
func (s *Sheets) AskText(title, about, label, what, old string, take func(string) error) {
	wrong := look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Warn})
	var sheet *Sheet
	ok := look.NewButton(label, nil)
	entry := look.NewEntry(what, "", nil)
	entry.Set(old)
	commit := func() {
		name := strings.TrimSpace(entry.Now())
		if name == "" {
			wrong.SetText("a " + what + " is wanted")
			return
		}
		if err := take(name); err != nil {
			wrong.SetText(desk.OneLine(err, shortLine))
			return
		}
		sheet.Close()
	}
	ok.Kind = look.Prominent
	ok.OnTapped(commit)
	entry.OnSubmitted(commit)
	cancel := look.NewButton("Cancel", func() { sheet.Close() })
	sheet = s.Open(title, about, look.VBox(6, entry, wrong), fyne.NewSize(420, 190), Buttons(nil, cancel, ok), entry.Focusable())
}

// A Choice is one way to answer a question.
type Choice struct {
	Label string
	Main  bool
	Run   func() // nil: nothing is done
}

// Question asks and waits for one of several answers; Esc is none of them.
func (s *Sheets) Question(title, about string, choices ...Choice) {
	var sheet *Sheet
	var all []fyne.CanvasObject
	var first fyne.Focusable
	for _, c := range choices {
		b := look.NewButton(c.Label, func() {
			sheet.Close()
			if c.Run != nil {
				c.Run()
			}
		})
		if c.Main {
			b.Kind, first = look.Prominent, b
		}
		all = append(all, b)
	}
	text := widget.NewLabel(about)
	text.Wrapping = fyne.TextWrapWord
	sheet = s.Open(title, "", text, fyne.NewSize(520, 220), Buttons(nil, all...), first)
}

// A Line is one of a list to choose from.
type Line struct {
	Content fyne.CanvasObject
	Hint    string
	Run     func() // once it is pressed and the sheet has gone
}

// List lets the user press one of several lines; back is the label of the button that
// closes the list.
func (s *Sheets) List(title, about string, lines []Line, size fyne.Size, back string) {
	var sheet *Sheet
	list := look.VBox(0)
	for _, l := range lines {
		list.Add(look.NewPressable(look.Pad(8, 2, 8, 2, l.Content), fyne.NewSize(0, 26), l.Hint, func() {
			sheet.Close()
			l.Run()
		}))
	}
	leave := look.NewButton(back, func() { sheet.Close() })
	sheet = s.Open(title, about, container.NewVScroll(list), size, Buttons(nil, leave), leave)
}
