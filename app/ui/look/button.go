package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
)

// ButtonKind is how much a button asks to be pressed.
type ButtonKind int

const (
	Plain     ButtonKind = iota // on a raised ground
	Prominent                   // in the accent: the one thing to do here
	Quiet                       // words alone
)

// Button does one thing.
type Button struct {
	control
	Kind          ButtonKind
	label, detail string
	mark          Mark
	markColour    color.Color
	chosen        bool
	pressed       bool
	width         float32
	tapped        func()
}

// NewButton is a plain button.
func NewButton(label string, tapped func()) *Button {
	b := &Button{label: label, tapped: tapped}
	b.start(b, "")
	return b
}

// NewQuietButton is a button of words alone.
func NewQuietButton(label string, tapped func()) *Button {
	b := NewButton(label, tapped)
	b.Kind = Quiet
	return b
}

// NewIconButton is a quiet button of a mark alone; hint says what it does.
func NewIconButton(m Mark, hint string, tapped func()) *Button {
	b := NewQuietButton("", tapped)
	b.mark = m
	b.SetHint(hint)
	return b
}

// OnTapped names who hears of a press.
func (b *Button) OnTapped(heard func()) { b.tapped = heard }

// Label is the button's word.
func (b *Button) Label() string { return b.label }

// SetLabel changes the word.
func (b *Button) SetLabel(label string) {
	if b.label != label {
		b.label = label
		b.Refresh()
	}
}

// SetDetail puts a quiet figure or word after the label.
func (b *Button) SetDetail(detail string) {
	if b.detail != detail {
		b.detail = detail
		b.Refresh()
	}
}

// SetIcon puts a mark before the label, in the label's colour.
func (b *Button) SetIcon(m Mark) { b.SetIconIn(m, nil) }

// SetIconIn puts a mark before the label, in a colour of its own.
func (b *Button) SetIconIn(m Mark, c color.Color) {
	if b.mark != m || b.markColour != c {
		b.mark, b.markColour = m, c
		b.Refresh()
	}
}

// SetChosen shows by an accent border that what the button starts goes on.
func (b *Button) SetChosen(chosen bool) {
	if b.chosen != chosen {
		b.chosen = chosen
		b.Refresh()
	}
}

// SetWidth keeps the button at least this wide, so that nothing moves when its
// label changes.
func (b *Button) SetWidth(width float32) {
	b.width = width
	b.Refresh()
}

func (b *Button) Tapped(*fyne.PointEvent) {
	if !b.off && b.tapped != nil {
		b.tapped()
	}
}

func (b *Button) MouseDown(ev *desktop.MouseEvent) {
	b.control.MouseDown(ev)
	b.pressed = ev.Button == desktop.MouseButtonPrimary
	b.Refresh()
}

func (b *Button) MouseUp(*desktop.MouseEvent) { b.release() }

func (b *Button) MouseOut() {
	b.pressed = false
	b.control.MouseOut()
}

func (b *Button) release() {
	b.pressed = false
	b.Refresh()
}

func (b *Button) TypedKey(ev *fyne.KeyEvent) {
	b.typed()
	if pressing(ev) {
		b.Tapped(nil)
		return
	}
	b.passKey(ev)
}

func (b *Button) TypedRune(r rune) {
	if r != ' ' {
		b.passRune(r)
	}
}

const buttonPad = 8

func (b *Button) style() Style {
	s := Style{Size: SmallSize, Colour: Text, Bold: b.Kind == Prominent}
	switch {
	case b.off:
		s.Colour = Off
	case b.Kind == Prominent:
		s.Colour = OnAccent
	}
	return s
}

func (b *Button) ground() color.NRGBA {
	switch {
	case b.Kind == Prominent && !b.off:
		if b.hovered || b.pressed {
			return AccentText
		}
		return Accent
	case b.off && b.Kind == Quiet:
		return color.NRGBA{}
	case b.off:
		return Card
	case b.pressed, b.chosen:
		return Chosen
	case b.hovered:
		return hoverGrey
	case b.Kind == Quiet:
		return color.NRGBA{}
	}
	return Raised
}

// natural is the width of mark, label and detail without the padding.
func (b *Button) natural() float32 {
	var w float32
	if b.mark != NoMark {
		w += markSize
	}
	if b.label != "" {
		w += b.style().Measure(b.label).Width
		if b.mark != NoMark {
			w += 4
		}
	}
	if b.detail != "" {
		w += labelStyle.Measure(b.detail).Width + 8
	}
	return w
}

func (b *Button) minSize() fyne.Size {
	pad := float32(buttonPad)
	if b.label == "" {
		pad = (target - markSize) / 2
	}
	return fyne.NewSize(max(b.width, target, b.natural()+2*pad), target)
}

func (b *Button) CreateRenderer() fyne.WidgetRenderer {
	body, focus := canvas.NewRectangle(Raised), newRing()
	body.CornerRadius = radius
	label, detail, mark := canvas.NewText("", Text), canvas.NewText("", Third), newStamp()
	return &face{of: b, objects: []fyne.CanvasObject{focus, body, &mark.Image, label, detail},
		min: b.minSize,
		draw: func(size fyne.Size) {
			apart := float32(0)
			if b.Kind == Prominent {
				apart = ring // accent on accent would not show
			}
			b.ringAround(focus, fyne.NewPos(-apart, -apart), size.AddWidthHeight(2*apart, 2*apart))
			body.Resize(size)
			body.FillColor, body.StrokeWidth = b.ground(), 0
			if b.chosen {
				body.StrokeColor, body.StrokeWidth = Accent, 1
			}
			b.drawWords(mark, label, detail, size)
		}}
}

func (b *Button) drawWords(mark *stamp, label, detail *canvas.Text, size fyne.Size) {
	style := b.style()
	x := (size.Width - b.natural()) / 2
	c := style.Colour
	if b.markColour != nil && !b.off {
		c = b.markColour
	}
	mark.put(b.mark, c, fyne.NewPos(x, (size.Height-markSize)/2))
	if b.mark != NoMark {
		x += markSize + 4
	}
	putText(label, b.label, style, fyne.NewPos(x, 0), size)
	quiet := Style{Size: SmallSize, Colour: Second}
	putText(detail, b.detail, quiet, fyne.NewPos(x+style.Measure(b.label).Width+8, 0), size)
}
