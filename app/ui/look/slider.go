package look

import (
	"image/color"

	"halocline/app/study"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
)

// Slider sets a number by dragging a knob. A press beside the knob brings it
// there; a double click gives the neutral value; Esc in a drag gives it up.
// The arrows change it by one increment, with Shift by ten, with Ctrl by a tenth.
type Slider struct {
	control
	spec   Spec
	value  float64
	edited func(v float64, p study.Phase)

	pressed bool    // between press and release
	start   float64 // the value at the press
	grip    float32 // from the knob's middle to the pointer
	moved   bool    // a change of this drag was reported
}

const (
	knob  = 13
	track = 4
)

// NewSlider is a slider at the neutral value. edited hears of the user's
// changes alone: in a drag study.Moved, at its end study.Done, or study.Cancelled with the value
// at the start where it was given up or came back.
func NewSlider(s Spec, edited func(v float64, p study.Phase)) *Slider {
	l := &Slider{spec: s, value: s.Neutral, edited: edited}
	l.control.start(l, s.Hint)
	return l
}

// Set shows v, silently. While the user drags, the knob stays with the pointer.
func (l *Slider) Set(v float64) {
	if l.value == v || l.pressed {
		return
	}
	l.value = v
	l.Refresh()
}

// Value is where the slider stands.
func (l *Slider) Value() float64 { return l.value }

// way is the length the knob can go, from half a knob on.
func (l *Slider) way() float32 { return max(1, l.Size().Width-knob) }

func (l *Slider) knobAt() float32 { return knob/2.0 + float32(l.spec.share(l.value))*l.way() }

func (l *Slider) under(x float32) float64 {
	return l.spec.at(float64((x - knob/2.0) / l.way()))
}

func (l *Slider) MouseDown(ev *desktop.MouseEvent) {
	l.ToolTipWidget.MouseOut()
	if l.off || ev.Button != desktop.MouseButtonPrimary {
		l.finish() // another button ends the drag
		return
	}
	l.focusByPress()
	l.pressed, l.moved, l.start = true, false, l.value
	l.grip = ev.Position.X - l.knobAt()
	if l.grip < -knob/2.0-1 || l.grip > knob/2.0+1 {
		l.grip = 0
		l.move(l.under(ev.Position.X))
	}
	l.Refresh()
}

func (l *Slider) Dragged(ev *fyne.DragEvent) {
	if l.pressed {
		l.move(l.under(ev.Position.X - l.grip))
	}
}

func (l *Slider) DragEnd() { l.finish() }

func (l *Slider) MouseUp(*desktop.MouseEvent) { l.finish() }

func (l *Slider) FocusLost() {
	l.finish()
	l.control.FocusLost()
}

// DoubleTapped gives the neutral value.
func (l *Slider) DoubleTapped(*fyne.PointEvent) {
	l.finish()
	l.put(l.spec.Neutral)
}

func (l *Slider) move(v float64) {
	if v == l.value {
		return
	}
	l.value, l.moved = v, true
	l.Refresh()
	l.report(study.Moved)
}

// finish ends a drag with what it reached.
func (l *Slider) finish() {
	if !l.pressed {
		return
	}
	l.pressed = false
	l.Refresh()
	switch {
	case !l.moved:
	case l.value == l.start:
		l.report(study.Cancelled)
	default:
		l.report(study.Done)
	}
}

func (l *Slider) giveUp() {
	moved := l.moved
	l.pressed, l.moved, l.value = false, false, l.start
	l.Refresh()
	if moved {
		l.report(study.Cancelled)
	}
}

func (l *Slider) report(p study.Phase) {
	if l.edited != nil {
		l.edited(l.value, p)
	}
}

// put changes the value at once, as one edit.
func (l *Slider) put(v float64) {
	if l.off || l.pressed || v == l.value {
		return
	}
	l.value = v
	l.Refresh()
	l.report(study.Done)
}

func (l *Slider) TypedKey(ev *fyne.KeyEvent) {
	if ev.Name == fyne.KeyEscape && l.pressed {
		l.giveUp()
		return
	}
	increments := 1.0
	if shift() {
		increments = 10
	}
	if !l.arrow(ev.Name, increments) {
		l.passKey(ev)
	}
}

// TypedShortcut takes Ctrl with an arrow; the rest goes on to the window.
func (l *Slider) TypedShortcut(s fyne.Shortcut) {
	if c, ok := s.(*desktop.CustomShortcut); ok && c.Modifier == fyne.KeyModifierControl && l.arrow(c.KeyName, 0.1) {
		return
	}
	if in, ok := canvasOf(l).(interface{ TypedShortcut(fyne.Shortcut) }); ok {
		in.TypedShortcut(s)
	}
}

func (l *Slider) arrow(name fyne.KeyName, increments float64) bool {
	switch name {
	case fyne.KeyLeft, fyne.KeyDown:
		l.put(l.spec.incremented(l.value, -increments))
	case fyne.KeyRight, fyne.KeyUp:
		l.put(l.spec.incremented(l.value, increments))
	case fyne.KeyHome:
		l.put(l.spec.Min)
	case fyne.KeyEnd:
		l.put(l.spec.Max)
	default:
		return false
	}
	l.typed()
	return true
}

func (l *Slider) CreateRenderer() fyne.WidgetRenderer {
	rail, set, tick := canvas.NewRectangle(Plot), canvas.NewRectangle(pillGrey), canvas.NewRectangle(Off)
	rail.CornerRadius, set.CornerRadius = track/2, track/2
	head, focus := canvas.NewCircle(Text), newRing()
	focus.CornerRadius = knob/2 + ring
	return &face{of: l, objects: []fyne.CanvasObject{rail, set, tick, head, focus},
		min: func() fyne.Size { return fyne.NewSize(60, target) },
		draw: func(size fyne.Size) {
			mid, x := size.Height/2, l.knobAt()
			place(rail, knob/2.0, mid-track/2, l.way(), track)
			place(set, knob/2.0, mid-track/2, x-knob/2.0, track)
			tick.Hidden = !l.spec.Tick
			place(tick, knob/2.0+float32(l.spec.share(l.spec.Neutral))*l.way()-0.5, mid-6, 1, 12)
			place(head, x-knob/2.0, mid-knob/2.0, knob, knob)
			l.colour(rail, set, head)
			l.ringAround(focus, fyne.NewPos(x-knob/2.0, mid-knob/2.0), fyne.NewSquareSize(knob))
		}}
}

func (l *Slider) colour(rail, set *canvas.Rectangle, head *canvas.Circle) {
	rail.FillColor, set.FillColor, head.FillColor = Plot, pillGrey, Text
	switch {
	case l.off:
		rail.FillColor, set.FillColor, head.FillColor = Window, grey(0x60), Off
	case l.pressed:
		set.FillColor, head.FillColor = Accent, White
	case l.hovered:
		head.FillColor = color.Color(White)
	}
}
