package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

// Keyed is how a value stands over time at the frame shown.
type Keyed int

const (
	Constant  Keyed = iota // it does not change over time
	Elsewhere              // it has keys, none of them here
	Here                   // it has a key here
)

// Notch is the control of a value's keys: a half-moon as keys are cut into
// their lane. It is hollow while the value is constant, bold where the value
// has keys elsewhere, and filled where there is one here.
type Notch struct {
	control
	state  Keyed
	name   string
	turned func()
	menu   func(at fyne.Position)
}

const notchWidth = 24

// NewNotch is the notch of the named value, a constant so far. turned hears of a press, menu of the
// right button or the arrow down, with where a menu would open.
func NewNotch(name string, turned func(), menu func(at fyne.Position)) *Notch {
	n := &Notch{name: name, turned: turned, menu: menu}
	n.start(n, "")
	return n
}

// Set shows how the value stands, silently.
func (n *Notch) Set(k Keyed) {
	if n.state != k {
		n.state = k
		n.Refresh()
	}
}

// Name is the value's name.
func (n *Notch) Name() string { return n.name }

// State is how the value stands.
func (n *Notch) State() Keyed { return n.state }

func (n *Notch) Tapped(*fyne.PointEvent) {
	if !n.off && n.turned != nil {
		n.turned()
	}
}

func (n *Notch) TappedSecondary(ev *fyne.PointEvent) {
	if !n.off && n.menu != nil {
		n.menu(ev.AbsolutePosition)
	}
}

func (n *Notch) TypedKey(ev *fyne.KeyEvent) {
	n.typed()
	switch {
	case pressing(ev):
		n.Tapped(nil)
	case ev.Name == fyne.KeyDown && n.menu != nil:
		at := fyne.CurrentApp().Driver().AbsolutePositionForObject(n)
		n.TappedSecondary(&fyne.PointEvent{AbsolutePosition: at.AddXY(0, n.Size().Height)})
	default:
		n.passKey(ev)
	}
}

func (n *Notch) TypedRune(r rune) {
	if r != ' ' {
		n.passRune(r)
	}
}

func (n *Notch) CreateRenderer() fyne.WidgetRenderer {
	body, focus, moon := canvas.NewRectangle(hoverGrey), newRing(), newStamp()
	body.CornerRadius = radius
	return &face{of: n, objects: []fyne.CanvasObject{focus, body, &moon.Image},
		min: func() fyne.Size { return fyne.NewSize(notchWidth, target) },
		draw: func(size fyne.Size) {
			box := fyne.NewSize(20, 20)
			at := middle(box, size)
			n.ringAround(focus, at, box)
			body.Hidden = !n.hovered || n.off
			body.Move(at)
			body.Resize(box)
			mark, c := n.drawn()
			moon.put(mark, n.ink(c), middle(fyne.NewSquareSize(markSize), size))
		}}
}

// drawn is what shows the state: by its form, and a key here by the accent too.
func (n *Notch) drawn() (Mark, color.Color) {
	switch n.state {
	case Here:
		return KeyHere, Accent
	case Elsewhere:
		return KeyElse, Text
	}
	return KeyNone, Off
}
