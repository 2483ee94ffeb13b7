package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// A box is what Number and Entry share: a well with a lighter lower line and an
// editor in it. It is not focusable itself, its editor is.
type box struct {
	widget.BaseWidget
	self    fyne.Widget
	edit    *editor
	themed  *container.ThemeOverride
	hint    string
	problem string // what was wrong with the last entry
	heard   func(problem string)
	focused bool
	off     bool
	right   bool // the text stands at the right
	width   float32
}

func (b *box) start(self fyne.Widget, hint string, width float32) {
	b.self, b.hint, b.width = self, hint, width
	b.edit = newEditor()
	b.edit.focus = b.setFocused
	b.edit.OnChanged = func(string) {
		b.setProblem("")
		b.self.Refresh()
	}
	b.edit.SetToolTip(hint)
	b.themed = container.NewThemeOverride(b.edit, editorTheme{Theme()})
	b.ExtendBaseWidget(self)
}

// SetHint sets the words shown at the pointer.
func (b *box) SetHint(hint string) {
	b.hint = hint
	if b.problem == "" {
		b.edit.SetToolTip(hint)
	}
}

// SetWidth changes the least width.
func (b *box) SetWidth(width float32) {
	b.width = width
	b.self.Refresh()
}

// OnProblem names who hears, in words, of an entry that cannot be; empty once
// it is mended. The hint at the pointer says it too.
func (b *box) OnProblem(heard func(problem string)) { b.heard = heard }

// Problem is what was wrong with the last entry; empty where nothing was.
func (b *box) Problem() string { return b.problem }

func (b *box) setProblem(problem string) {
	if b.problem == problem {
		return
	}
	b.problem = problem
	b.edit.SetToolTip(problem)
	if problem == "" {
		b.edit.SetToolTip(b.hint)
	}
	b.self.Refresh()
	if b.heard != nil {
		b.heard(problem)
	}
}

// Enable lets the value be edited.
func (b *box) Enable() { b.setOff(false) }

// Disable greys the value and keeps it.
func (b *box) Disable() { b.setOff(true) }

// Disabled tells whether the value is greyed.
func (b *box) Disabled() bool { return b.off }

func (b *box) setOff(off bool) {
	if b.off == off {
		return
	}
	b.off = off
	if off {
		b.edit.Disable()
	} else {
		b.edit.Enable()
	}
	b.self.Refresh()
}

// Focus puts the caret into the box, all of it chosen.
func (b *box) Focus() {
	if in := canvasOf(b.self); in != nil && !b.off {
		in.Focus(b.edit)
	}
}

// Holds tells whether what has the keyboard is this box's text.
func (b *box) Holds(f fyne.Focusable) bool { return f == fyne.Focusable(b.edit) }

// Focused tells whether the caret is here.
func (b *box) Focused() bool { return b.focused }

func (b *box) setFocused(on bool) {
	b.focused = on
	b.self.Refresh()
}

// Tapped beside the text goes to the text. A press would be too early: after it
// the window takes the focus from all that is not focusable itself.
func (b *box) Tapped(*fyne.PointEvent) { b.Focus() }

func (b *box) CreateRenderer() fyne.WidgetRenderer {
	well, line, focus := canvas.NewRectangle(Well), canvas.NewRectangle(lowerLine), newRing()
	well.CornerRadius, well.StrokeWidth = radius, 1
	warn := newStampOf(cornerSize)
	return &face{of: b.self, objects: []fyne.CanvasObject{well, line, focus, b.themed, &warn.Image},
		min: func() fyne.Size { return fyne.NewSize(b.width, target) },
		draw: func(size fyne.Size) {
			well.Resize(size)
			well.FillColor, well.StrokeColor, line.FillColor = Well, grey(0x4a), lowerLine
			switch {
			case b.off:
				well.FillColor, line.FillColor = color.Transparent, grey(0x4a)
			case b.problem != "":
				well.StrokeColor = Warn
			}
			line.Move(fyne.NewPos(2, size.Height-1))
			line.Resize(fyne.NewSize(size.Width-4, 1))
			focus.Hidden = !b.focused
			focus.Resize(size)
			b.drawText(warn, size)
		}}
}

// drawText gives a text at the right an editor just wide enough for it, which
// ends at the box's right edge; the caret needs a little. The triangle sits in
// the upper left corner, so that it takes no room from a long number.
func (b *box) drawText(warn *stamp, size fyne.Size) {
	mark := NoMark
	if b.problem != "" {
		mark = Triangle
	}
	warn.put(mark, Warn, fyne.NewPos(0, 0))
	width := size.Width
	if b.right {
		width = min(width, labelStyle.Measure(b.edit.Text).Width+2*editorPad+2)
	}
	place(b.themed, size.Width-width, 0, width, size.Height)
}

const cornerSize = 12
