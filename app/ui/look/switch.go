package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

var pill = fyne.NewSize(26, 14)

// Switch turns a thing on and off at once.
type Switch struct {
	control
	on      bool
	label   string
	changed func(on bool)
}

// NewSwitch is a switch that is off. changed hears of the user's turns alone.
func NewSwitch(hint string, changed func(on bool)) *Switch {
	s := &Switch{changed: changed}
	s.start(s, hint)
	return s
}

// Set turns the switch, silently.
func (s *Switch) Set(on bool) {
	if s.on == on {
		return
	}
	s.on = on
	s.Refresh()
}

// SetLabel puts words to the right of the switch, which turn it too.
func (s *Switch) SetLabel(label string) {
	if s.label != label {
		s.label = label
		s.Refresh()
	}
}

// On tells how it stands.
func (s *Switch) On() bool { return s.on }

func (s *Switch) Tapped(*fyne.PointEvent) {
	if s.off {
		return
	}
	s.Set(!s.on)
	if s.changed != nil {
		s.changed(s.on)
	}
}

func (s *Switch) TypedKey(ev *fyne.KeyEvent) {
	s.typed()
	if pressing(ev) {
		s.Tapped(nil)
		return
	}
	s.passKey(ev)
}

func (s *Switch) TypedRune(r rune) {
	if r != ' ' {
		s.passRune(r)
	}
}

// pressing tells whether a key presses the control that has the focus.
func pressing(ev *fyne.KeyEvent) bool {
	return ev.Name == fyne.KeySpace || ev.Name == fyne.KeyReturn || ev.Name == fyne.KeyEnter
}

const switchGap = 8

func (s *Switch) minSize() fyne.Size {
	width := pill.Width
	if s.label != "" {
		width += switchGap + labelStyle.Measure(s.label).Width
	}
	return fyne.NewSize(width, target)
}

func (s *Switch) CreateRenderer() fyne.WidgetRenderer {
	body, knob, focus := canvas.NewRectangle(color.Transparent), canvas.NewCircle(White), newRing()
	body.CornerRadius, body.StrokeWidth = pill.Height/2, 1
	focus.CornerRadius = pill.Height/2 + ring
	label := canvas.NewText("", Text)
	return &face{of: s, objects: []fyne.CanvasObject{focus, body, knob, label},
		min: s.minSize,
		draw: func(size fyne.Size) {
			at := fyne.NewPos(max(0, (size.Width-s.minSize().Width)/2), (size.Height-pill.Height)/2)
			s.ringAround(focus, at.SubtractXY(1, 1), pill.AddWidthHeight(2, 2))
			body.Move(at)
			body.Resize(pill)
			s.drawPill(body, knob, at)
			style := Style{Size: SmallSize, Colour: s.ink(Text)}
			putText(label, s.label, style, fyne.NewPos(at.X+pill.Width+switchGap, 0), size)
		}}
}

// drawPill shows on as a filled pill with a large knob to the right, off as an
// outline with a small ring to the left: shape, place and fill all tell.
func (s *Switch) drawPill(body *canvas.Rectangle, knob *canvas.Circle, at fyne.Position) {
	if s.on {
		body.FillColor, body.StrokeColor = pillGrey, pillGrey
		knob.FillColor, knob.StrokeWidth = White, 0
		if s.off {
			body.FillColor, body.StrokeColor, knob.FillColor = grey(0x60), grey(0x60), Off
		}
		knob.Move(at.AddXY(pill.Width-13, 1))
		knob.Resize(fyne.NewSquareSize(12))
		return
	}
	line := s.ink(Third)
	if s.off {
		line = grey(0x60)
	}
	body.FillColor, body.StrokeColor = Plot, line
	knob.FillColor, knob.StrokeColor, knob.StrokeWidth = color.Transparent, line, 1.3
	knob.Move(at.AddXY(3, 3))
	knob.Resize(fyne.NewSquareSize(8))
}
