package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"

	"halocline/app/ui/look"
)

// A pressable is a flat piece of the window that can be pressed: a matte's card, a
// view's name, a row of a list. It is reached by Tab, pressed by Space or Enter.
type pressable struct {
	widget.BaseWidget
	ttwidget.ToolTipWidgetExtend
	content fyne.CanvasObject
	size    fyne.Size // the least; the content's where it is larger

	pressed func()
	menu    func(at fyne.Position) // by the right button; nil for none
	keyed   func(fyne.KeyName) bool
	entered func() // by Enter, where that is not a press

	fill, fillChosen, fillHover color.Color
	bordered                    bool // an accent border when chosen
	chosen, hovered, focused    bool

	back, border *canvas.Rectangle
}

var (
	_ fyne.Focusable         = (*pressable)(nil)
	_ desktop.Hoverable      = (*pressable)(nil)
	_ desktop.Mouseable      = (*pressable)(nil)
	_ fyne.SecondaryTappable = (*pressable)(nil)
	_ desktop.Cursorable     = (*pressable)(nil)
	_ fyne.WidgetRenderer    = (*pressableRenderer)(nil)
)

func newPressable(content fyne.CanvasObject, size fyne.Size, hint string, pressed func()) *pressable {
	p := &pressable{
		content: content, size: size, pressed: pressed,
		fill: color.Transparent, fillChosen: look.Chosen, fillHover: look.Raised,
		back: canvas.NewRectangle(color.Transparent), border: canvas.NewRectangle(color.Transparent),
	}
	p.back.CornerRadius, p.border.CornerRadius = 3, 3
	p.border.StrokeWidth = 2
	p.ExtendBaseWidget(p)
	p.SetToolTip(hint)
	return p
}

func (p *pressable) ExtendBaseWidget(w fyne.Widget) {
	p.ExtendToolTipWidget(w)
	p.BaseWidget.ExtendBaseWidget(w)
}

func (p *pressable) setChosen(chosen bool) {
	if p.chosen != chosen {
		p.chosen = chosen
		p.Refresh()
	}
}

func (p *pressable) MouseDown(e *desktop.MouseEvent) {
	p.ToolTipWidgetExtend.MouseOut() // the hint would cover what the press shows
	if e.Button != desktop.MouseButtonPrimary {
		return
	}
	focus(p)
	if p.pressed != nil {
		p.pressed()
	}
}

func (p *pressable) MouseUp(*desktop.MouseEvent) {}

func (p *pressable) TappedSecondary(e *fyne.PointEvent) {
	if p.menu != nil {
		p.menu(e.AbsolutePosition)
	}
}

func (p *pressable) MouseIn(e *desktop.MouseEvent) {
	p.ToolTipWidgetExtend.MouseIn(e)
	p.hovered = true
	p.Refresh()
}

func (p *pressable) MouseMoved(e *desktop.MouseEvent) { p.ToolTipWidgetExtend.MouseMoved(e) }

func (p *pressable) MouseOut() {
	p.hovered = false
	look.HideHint(p.ToolTipWidgetExtend.MouseOut, func() bool { return p.hovered })
	p.Refresh()
}

func (p *pressable) Cursor() desktop.Cursor { return desktop.DefaultCursor }

func (p *pressable) FocusGained() { p.focused = true; p.Refresh() }
func (p *pressable) FocusLost()   { p.focused = false; p.Refresh() }
func (p *pressable) TypedRune(r rune) {
	if r == ' ' && p.pressed != nil {
		p.pressed()
	}
}

func (p *pressable) TypedKey(e *fyne.KeyEvent) {
	switch {
	case p.keyed != nil && p.keyed(e.Name):
	case e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter:
		if p.entered != nil {
			p.entered()
		} else if p.pressed != nil {
			p.pressed()
		}
	default:
		passKey(p, e)
	}
}

// KeyDown and KeyUp tell the window of keys that are held.
func (p *pressable) KeyDown(e *fyne.KeyEvent) { passHeldKey(p, e, desktop.Canvas.OnKeyDown) }
func (p *pressable) KeyUp(e *fyne.KeyEvent)   { passHeldKey(p, e, desktop.Canvas.OnKeyUp) }

func passHeldKey(o fyne.CanvasObject, e *fyne.KeyEvent, heard func(desktop.Canvas) func(*fyne.KeyEvent)) {
	if c, ok := fyne.CurrentApp().Driver().CanvasForObject(o).(desktop.Canvas); ok && heard(c) != nil {
		heard(c)(e)
	}
}

func (p *pressable) MinSize() fyne.Size {
	p.ExtendBaseWidget(p)
	return p.size.Max(p.content.MinSize())
}

func (p *pressable) CreateRenderer() fyne.WidgetRenderer {
	r := &pressableRenderer{p}
	r.Refresh()
	return r
}

type pressableRenderer struct{ p *pressable }

func (r *pressableRenderer) Layout(s fyne.Size) {
	r.p.back.Resize(s)
	r.p.border.Resize(s)
	r.p.content.Resize(s)
}

func (r *pressableRenderer) MinSize() fyne.Size { return r.p.size.Max(r.p.content.MinSize()) }
func (r *pressableRenderer) Destroy()           {}
func (r *pressableRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.p.back, r.p.content, r.p.border}
}

func (r *pressableRenderer) Refresh() {
	p := r.p
	switch {
	case p.chosen:
		p.back.FillColor = p.fillChosen
	case p.hovered:
		p.back.FillColor = p.fillHover
	default:
		p.back.FillColor = p.fill
	}
	p.border.StrokeColor = color.Transparent
	if p.focused || p.bordered && p.chosen {
		p.border.StrokeColor = look.Accent
	}
	p.back.Refresh()
	p.border.Refresh()
}

// focus gives a widget the keyboard.
func focus(w fyne.Focusable) {
	if o, ok := w.(fyne.CanvasObject); ok {
		if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil {
			c.Focus(w)
		}
	}
}

// passKey hands a key that a focused widget has no use for to the window.
func passKey(o fyne.CanvasObject, e *fyne.KeyEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil && c.OnTypedKey() != nil {
		c.OnTypedKey()(e)
	}
}
