package look

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"halocline/app/study"
)

// ValueRow is a number with all that sets it, side by side: label, slider,
// entry, unit. Every part keeps its place whatever the value.
type ValueRow struct {
	widget.BaseWidget
	label  *Label
	slider *Slider
	number *Number
	unit   *Label
	notch  *Notch  // of the value's keys; nil for none
	hinted *Hinted // the label
	width  float32 // of the label
	edited func(v float64, p study.Phase)
}

const (
	rowHeight = 28
	rowGap    = 8
	unitWidth = 20
)

// NewValueRow is a row whose label takes labelWidth. edited hears of the
// user's changes alone.
func NewValueRow(s Spec, labelWidth float32, edited func(v float64, p study.Phase)) *ValueRow {
	r := &ValueRow{width: labelWidth, edited: edited}
	r.label = NewLabel(s.Label, Style{Size: SmallSize, Colour: Second})
	r.hinted = NewHinted(s.Hint, r.label)
	r.unit = NewLabel(s.Unit, Style{Size: SmallSize, Colour: Third})
	r.slider = NewSlider(s.rail(), func(v float64, p study.Phase) {
		r.number.setFine(v)
		r.report(v, p)
	})
	r.number = NewNumber(s, func(v float64, p study.Phase) {
		r.slider.Set(v)
		r.report(v, p)
	})
	r.ExtendBaseWidget(r)
	return r
}

func (r *ValueRow) report(v float64, p study.Phase) {
	if r.edited != nil {
		r.edited(v, p)
	}
}

// Set shows v, silently.
func (r *ValueRow) Set(v float64) {
	r.slider.Set(v)
	r.number.Set(v)
}

// Value is the value shown.
func (r *ValueRow) Value() float64 { return r.number.Value() }

// SetNotch gives the row a control for the value's keys, between label and
// slider, before the row is shown. While it is hidden the label has its place.
func (r *ValueRow) SetNotch(n *Notch) { r.notch = n }

// Notch is the control of the value's keys; nil for none.
func (r *ValueRow) Notch() *Notch { return r.notch }

// Holds tells whether what has the keyboard is a part of the row.
func (r *ValueRow) Holds(f fyne.Focusable) bool {
	return f != nil && (f == fyne.Focusable(r.slider) || r.number.Holds(f) || r.notch != nil && f == fyne.Focusable(r.notch))
}

// OnProblem names who hears, in words, of an entry that cannot be.
func (r *ValueRow) OnProblem(heard func(problem string)) { r.number.OnProblem(heard) }

// Enable lets the value be changed.
func (r *ValueRow) Enable() { r.setOff(false) }

// Disable greys the row and keeps the value.
func (r *ValueRow) Disable() { r.setOff(true) }

// Disabled tells whether the row is greyed.
func (r *ValueRow) Disabled() bool { return r.slider.Disabled() }

func (r *ValueRow) setOff(off bool) {
	r.slider.setOff(off)
	r.number.setOff(off)
	if r.notch != nil {
		r.notch.setOff(off)
	}
	r.label.SetColour(Second)
	if off {
		r.label.SetColour(Off)
	}
}

func (r *ValueRow) CreateRenderer() fyne.WidgetRenderer {
	objects := []fyne.CanvasObject{r.hinted, r.slider, r.number, r.unit}
	if r.notch != nil {
		objects = append(objects, r.notch)
	}
	return &face{of: r, objects: objects,
		min: func() fyne.Size {
			return fyne.NewSize(r.width+60+rowGap+numberWidth+rowGap+unitWidth, rowHeight)
		},
		draw: func(size fyne.Size) {
			right := size.Width - unitWidth
			place(r.unit, right, 0, unitWidth, size.Height)
			right -= rowGap + numberWidth
			place(r.number, right, (size.Height-target)/2, numberWidth, target)
			// The rail, not the knob's reach, lines up with its neighbours.
			left, end := r.width-knob/2, right-rowGap+knob/2
			words := left - 2
			if r.notch != nil && r.notch.Visible() {
				words = left - notchWidth + 2
				place(r.notch, words, (size.Height-target)/2, notchWidth, target)
			}
			place(r.hinted, 0, 0, max(0, words), size.Height)
			place(r.slider, left, 0, end-left, size.Height)
		}}
}

// Name is the row's label.
func (r *ValueRow) Name() string { return r.label.Text() }
