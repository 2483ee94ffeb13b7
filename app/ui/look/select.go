package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// Select is a choice of one from a list that opens: by a press, Space or
// Return. The arrows up and down choose without opening it.
type Select struct {
	control
	options []string
	at      int
	width   float32
	chosen  func(i int)
}

// NewSelect offers the options; the first is chosen. chosen hears of the
// user's choices alone.
func NewSelect(options []string, hint string, chosen func(i int)) *Select {
	s := &Select{options: options, chosen: chosen, width: 60}
	s.start(s, hint)
	return s
}

// Set chooses option i, silently; a number outside shows nothing.
func (s *Select) Set(i int) {
	if s.at != i {
		s.at = i
		s.Refresh()
	}
}

// Shown is the chosen option's name.
func (s *Select) Shown() string { return s.shown() }

// At is the chosen option.
func (s *Select) At() int { return s.at }

// SetOptions changes the list, silently, and what is chosen of it.
func (s *Select) SetOptions(options []string, at int) {
	s.options, s.at = options, at
	s.Refresh()
}

// SetWidth changes the least width, which does not follow the options.
func (s *Select) SetWidth(width float32) {
	s.width = width
	s.Refresh()
}

func (s *Select) choose(i int) {
	if s.off || i < 0 || i >= len(s.options) || i == s.at {
		return
	}
	s.Set(i)
	if s.chosen != nil {
		s.chosen(i)
	}
}

func (s *Select) MouseDown(ev *desktop.MouseEvent) { s.control.MouseDown(ev) }

func (s *Select) Tapped(*fyne.PointEvent) { s.open() }

func (s *Select) open() {
	in := canvasOf(s)
	if s.off || in == nil || len(s.options) == 0 {
		return
	}
	items := make([]*fyne.MenuItem, len(s.options))
	for i, o := range s.options {
		items[i] = fyne.NewMenuItem(o, func() { s.choose(i) })
		items[i].Checked = i == s.at
	}
	menu := widget.NewPopUpMenu(fyne.NewMenu("", items...), in)
	menu.Resize(fyne.NewSize(max(s.Size().Width, menu.MinSize().Width), menu.MinSize().Height))
	menu.ShowAtRelativePosition(fyne.NewPos(0, s.Size().Height), s)
}

func (s *Select) TypedKey(ev *fyne.KeyEvent) {
	s.typed()
	switch {
	case pressing(ev):
		s.open()
	case ev.Name == fyne.KeyUp:
		s.choose(s.at - 1)
	case ev.Name == fyne.KeyDown:
		s.choose(s.at + 1)
	default:
		s.passKey(ev)
	}
}

func (s *Select) TypedRune(r rune) {
	if r != ' ' {
		s.passRune(r)
	}
}

func (s *Select) shown() string {
	if s.at < 0 || s.at >= len(s.options) {
		return ""
	}
	return s.options[s.at]
}

func (s *Select) CreateRenderer() fyne.WidgetRenderer {
	body, focus := canvas.NewRectangle(Raised), newRing()
	body.CornerRadius = radius
	text, arrow := canvas.NewText("", color.Transparent), newStamp()
	return &face{of: s, objects: []fyne.CanvasObject{focus, body, text, &arrow.Image},
		min: func() fyne.Size { return fyne.NewSize(s.width, target) },
		draw: func(size fyne.Size) {
			s.ringAround(focus, fyne.Position{}, size)
			body.Resize(size)
			body.FillColor = Raised
			if s.hovered && !s.off {
				body.FillColor = hoverGrey
			}
			room := size.Width - 2*buttonPad - markSize
			style := Style{Size: SmallSize, Colour: s.ink(Text)}
			putText(text, style.Cut(s.shown(), room), style, fyne.NewPos(buttonPad, 0), fyne.NewSize(room, size.Height))
			arrow.put(Down, s.ink(Second), fyne.NewPos(size.Width-markSize-4, (size.Height-markSize)/2))
		}}
}
