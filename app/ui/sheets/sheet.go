package sheets

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/widget"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// A Host is what the sheets lie over.
type Host interface {
	Rest()                           // takes the keyboard back when a sheet goes
	TellPlaces()                     // is told that controls come or go
	Tell(format string, args ...any) // is told what happens
}

// Sheets lie over a window, one at a time.
type Sheets struct {
	desk    *desk.Desk
	win     fyne.Window
	host    Host
	open    *Sheet             // nil for none
	chooser *dialog.FileDialog // over it; nil for none
}

// New returns the sheets of a window, none of them open. The window must have a layer
// for hints.
func New(d *desk.Desk, win fyne.Window, h Host) *Sheets {
	return &Sheets{desk: d, win: win, host: h}
}

// A Sheet lies over the window until it is answered.
type Sheet struct {
	of     *Sheets
	pop    *widget.PopUp
	typed  func(fyne.KeyName) bool
	closed func()
}

// Open shows a sheet: a title, a line about it, what it is about, and its foot. first
// gets the keyboard.
func (s *Sheets) Open(title, about string, body fyne.CanvasObject, size fyne.Size, foot fyne.CanvasObject, first fyne.Focusable) *Sheet {
	head := look.VBox(2, look.NewLabel(title, look.Style{Size: look.TitleSize, Colour: look.White, Bold: true}))
	if about != "" {
		head.Add(look.NewLabel(about, look.Style{Size: look.SmallSize, Colour: look.Second}))
	}
	content := container.NewBorder(look.Pad(0, 0, 0, 14, head), look.Pad(0, 14, 0, 0, foot), nil, nil, body)
	back := canvas.NewRectangle(look.Column)
	back.StrokeColor, back.StrokeWidth, back.CornerRadius = look.Off, 1, 4
	sheet := s.over(container.NewStack(back, look.Pad(28, 22, 28, 22, content)))
	sheet.pop.Resize(size)
	sheet.show(first)
	return sheet
}

// Cover shows a sheet that fills the window.
func (s *Sheets) Cover(content fyne.CanvasObject, first fyne.Focusable) *Sheet {
	sheet := s.over(container.New(wholeCanvas{s.win.Canvas()}, content))
	sheet.show(first)
	return sheet
}

// over makes the sheet that is open, in place of any other.
func (s *Sheets) over(content fyne.CanvasObject) *Sheet {
	s.Close()
	sheet := &Sheet{of: s, pop: widget.NewModalPopUp(content, s.win.Canvas())}
	fynetooltip.AddPopUpToolTipLayer(sheet.pop) // before it is laid out, or its content stands elsewhere
	s.open = sheet
	return sheet
}

func (s *Sheet) show(first fyne.Focusable) {
	s.pop.Show()
	if first != nil {
		s.of.win.Canvas().Focus(first)
	}
	s.of.host.TellPlaces()
}

// OnClosed calls f when the sheet goes.
func (s *Sheet) OnClosed(f func()) { s.closed = f }

// OnTyped lets f hear keys that nothing on the sheet has use for; it reports whether
// it has one.
func (s *Sheet) OnTyped(f func(fyne.KeyName) bool) { s.typed = f }

// Close takes the sheet away.
func (s *Sheet) Close() {
	s.pop.Hide()
	fynetooltip.DestroyPopUpToolTipLayer(s.pop)
	if s.of.open == s {
		s.of.open = nil
	}
	if s.closed != nil {
		s.closed()
	}
	s.of.host.Rest()
}

// IsOpen reports whether a sheet is open.
func (s *Sheets) IsOpen() bool { return s.open != nil }

// Close closes the sheet that is open, if one is.
func (s *Sheets) Close() {
	if s.open != nil {
		s.open.Close()
	}
}

// Typed hears a key that nothing else has use for, and reports whether something lies
// over the window, which then has the keys to itself.
func (s *Sheets) Typed(key fyne.KeyName) bool {
	top := s.win.Canvas().Overlays().Top()
	if top == nil {
		return false
	}
	switch {
	case s.open != nil && s.open.typed != nil && top == fyne.CanvasObject(s.open.pop) && s.open.typed(key):
	case key != fyne.KeyEscape:
	case s.chooser != nil:
		s.chooser.Dismiss()
	default:
		s.Close()
	}
	return true
}

// Buttons lays buttons out at the right end of a sheet's foot.
func Buttons(left fyne.CanvasObject, all ...fyne.CanvasObject) fyne.CanvasObject {
	return container.NewBorder(nil, nil, nil, look.HBox(12, all...), left)
}

// formRow is a name and what is to be filled in.
func formRow(name string, field fyne.CanvasObject) fyne.CanvasObject {
	return container.NewBorder(nil, nil, look.NewFixedLabel(112, name, look.Style{Size: look.BodySize, Colour: look.Text}), nil, field)
}

// wholeCanvas makes its object as large as the canvas, all but a modal pop-up's own
// border, whenever that changes.
type wholeCanvas struct{ c fyne.Canvas }

func (l wholeCanvas) MinSize([]fyne.CanvasObject) fyne.Size {
	const border = 2 * 4 // the theme's inner padding
	return l.c.Size().SubtractWidthHeight(border, border)
}

func (l wholeCanvas) Layout(all []fyne.CanvasObject, s fyne.Size) {
	for _, o := range all {
		o.Resize(s)
		o.Move(fyne.Position{})
	}
}
