package ui

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"halocline/app/ui/look"
)

// A sheet lies over the window until it is answered. Esc closes it.
type sheet struct {
	w      *window
	pop    *widget.PopUp
	closed func() // called when it goes; may be nil
}

// openSheet shows a sheet: a title, a line about it, what it is about, buttons
// at its foot. first gets the keyboard.
func (w *window) openSheet(title, about string, body fyne.CanvasObject, size fyne.Size, foot fyne.CanvasObject, first fyne.Focusable) *sheet {
	if w.sheet != nil {
		w.sheet.close()
	}
	head := look.VBox(2, look.NewLabel(title, look.Style{Size: look.TitleSize, Colour: look.White, Bold: true}))
	if about != "" {
		head.Add(look.NewLabel(about, look.Style{Size: look.SmallSize, Colour: look.Second}))
	}
	content := container.NewBorder(look.Pad(0, 0, 0, 14, head), look.Pad(0, 14, 0, 0, foot), nil, nil, body)
	back := canvas.NewRectangle(look.Column)
	back.StrokeColor, back.StrokeWidth, back.CornerRadius = look.Off, 1, 4
	s := &sheet{w: w}
	s.pop = widget.NewModalPopUp(container.NewStack(back, look.Pad(28, 22, 28, 22, content)), w.win.Canvas())
	fynetooltip.AddPopUpToolTipLayer(s.pop) // before it is laid out, or its content stands elsewhere
	s.pop.Resize(size)
	w.sheet = s
	s.pop.Show()
	if first != nil {
		w.win.Canvas().Focus(first)
	}
	w.tellPlaces()
	return s
}

func (s *sheet) close() {
	s.pop.Hide()
	fynetooltip.DestroyPopUpToolTipLayer(s.pop)
	if s.w.sheet == s {
		s.w.sheet = nil
	}
	if s.closed != nil {
		s.closed()
	}
	s.w.win.Canvas().Focus(s.w.viewer)
}

// buttons lays buttons out at the right end of a sheet's foot.
func buttons(left fyne.CanvasObject, all ...fyne.CanvasObject) fyne.CanvasObject {
	return container.NewBorder(nil, nil, nil, look.HBox(12, all...), left)
}

// askName asks for a name. take says what is wrong with it, or uses it.
func (w *window) askName(title, old string, take func(string) error) {
	w.askText(title, "", "Rename", "name", old, take)
}

// askText asks for a line of text, what, which a button of the label takes.
func (w *window) askText(title, about, label, what, old string, take func(string) error) {
	wrong := look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Warn})
	var s *sheet
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
			wrong.SetText(err.Error())
			return
		}
		s.close()
	}
	ok.Kind = look.Prominent
	ok.OnTapped(commit)
	entry.OnSubmitted(commit)
	cancel := look.NewButton("Cancel", func() { s.close() })
	s = w.openSheet(title, about, look.VBox(6, entry, wrong), fyne.NewSize(420, 190), buttons(nil, cancel, ok), entry.Focusable())
}

// choice is one way to answer a question.
type choice struct {
	label string
	main  bool
	run   func()
}

// question asks and waits for one of several answers; Esc is none of them.
func (w *window) question(title, about string, choices ...choice) {
	var s *sheet
	var all []fyne.CanvasObject
	var first fyne.Focusable
	for _, c := range choices {
		b := look.NewButton(c.label, func() {
			s.close()
			if c.run != nil {
				c.run()
			}
		})
		if c.main {
			b.Kind, first = look.Prominent, b
		}
		all = append(all, b)
	}
	text := widget.NewLabel(about)
	text.Wrapping = fyne.TextWrapWord
	s = w.openSheet(title, "", text, fyne.NewSize(520, 220), buttons(nil, all...), first)
}
