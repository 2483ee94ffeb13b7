package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"
)

// A Pressable is a flat piece of the window that can be pressed: a matte's card, a
// view's name, a row of a list. It is reached by Tab, pressed by Space or Enter.
type Pressable struct {
	widget.BaseWidget
	ttwidget.ToolTipWidgetExtend
	content fyne.CanvasObject
	size    fyne.Size // the least; the content's where it is larger

	pressed func()
	OnMenu  func(at fyne.Position)  // by the right button; nil for none
	OnKey   func(fyne.KeyName) bool // hears a key first, and reports whether it had a use for it; nil for none
	OnEnter func()                  // by Enter, where that is not a press; nil where it is

	Fill, FillChosen         color.Color
	Bordered                 bool // an accent border when chosen
	chosen, hovered, focused bool

	back, border *canvas.Rectangle
}

var (
	_ fyne.Focusable         = (*Pressable)(nil)
	_ desktop.Hoverable      = (*Pressable)(nil)
	_ desktop.Mouseable      = (*Pressable)(nil)
	_ fyne.SecondaryTappable = (*Pressable)(nil)
	_ desktop.Cursorable     = (*Pressable)(nil)
	_ fyne.WidgetRenderer    = (*pressableRenderer)(nil)
)

// NewPressable makes a pressable around content, at least of a size.
func NewPressable(content fyne.CanvasObject, size fyne.Size, hint string, pressed func()) *Pressable {
	p := &Pressable{
		content: content, size: size, pressed: pressed,
		Fill: color.Transparent, FillChosen: Chosen,
		back: canvas.NewRectangle(color.Transparent), border: canvas.NewRectangle(color.Transparent),
	}
	p.back.CornerRadius, p.border.CornerRadius = 3, 3
	p.border.StrokeWidth = 2
	p.ExtendBaseWidget(p)
	p.SetToolTip(hint)
	return p
}

func (p *Pressable) ExtendBaseWidget(w fyne.Widget) {
	p.ExtendToolTipWidget(w)
	p.BaseWidget.ExtendBaseWidget(w)
}

// Content is what the pressable shows.
func (p *Pressable) Content() fyne.CanvasObject { return p.content }

// SetChosen shows whether it is the one chosen among several.
func (p *Pressable) SetChosen(chosen bool) {
	if p.chosen != chosen {
		p.chosen = chosen
		p.Refresh()
	}
}

func (p *Pressable) MouseDown(e *desktop.MouseEvent) {
	p.ToolTipWidgetExtend.MouseOut() // the hint would cover what the press shows
	if e.Button != desktop.MouseButtonPrimary {
		return
	}
	Focus(p)
	if p.pressed != nil {
		p.pressed()
	}
}

func (p *Pressable) MouseUp(*desktop.MouseEvent) {}

func (p *Pressable) TappedSecondary(e *fyne.PointEvent) {
	if p.OnMenu != nil {
		p.OnMenu(e.AbsolutePosition)
	}
}

func (p *Pressable) MouseIn(e *desktop.MouseEvent) {
	p.ToolTipWidgetExtend.MouseIn(e)
	p.hovered = true
	p.Refresh()
}

func (p *Pressable) MouseMoved(e *desktop.MouseEvent) { p.ToolTipWidgetExtend.MouseMoved(e) }

func (p *Pressable) MouseOut() {
	p.hovered = false
	HideHint(p.ToolTipWidgetExtend.MouseOut, func() bool { return p.hovered })
	p.Refresh()
}

func (p *Pressable) Cursor() desktop.Cursor { return desktop.DefaultCursor }

func (p *Pressable) FocusGained() { p.focused = true; p.Refresh() }
func (p *Pressable) FocusLost()   { p.focused = false; p.Refresh() }
func (p *Pressable) TypedRune(r rune) {
	if r == ' ' && p.pressed != nil {
		p.pressed()
	}
}

func (p *Pressable) TypedKey(e *fyne.KeyEvent) {
	switch {
	case p.OnKey != nil && p.OnKey(e.Name):
	case e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter:
		if p.OnEnter != nil {
			p.OnEnter()
		} else if p.pressed != nil {
			p.pressed()
		}
	default:
		PassKey(p, e)
	}
}

// KeyDown and KeyUp tell the window of keys that are held.
func (p *Pressable) KeyDown(e *fyne.KeyEvent) { passHeldKey(p, e, desktop.Canvas.OnKeyDown) }
func (p *Pressable) KeyUp(e *fyne.KeyEvent)   { passHeldKey(p, e, desktop.Canvas.OnKeyUp) }

func (p *Pressable) MinSize() fyne.Size {
	p.ExtendBaseWidget(p)
	return p.size.Max(p.content.MinSize())
}

func (p *Pressable) CreateRenderer() fyne.WidgetRenderer {
	r := &pressableRenderer{p}
	r.Refresh()
	return r
}

type pressableRenderer struct{ p *Pressable }

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
		p.back.FillColor = p.FillChosen
	case p.hovered:
		p.back.FillColor = Raised
	default:
		p.back.FillColor = p.Fill
	}
	p.border.StrokeColor = color.Transparent
	if p.focused || p.Bordered && p.chosen {
		p.border.StrokeColor = Accent
	}
	p.back.Refresh()
	p.border.Refresh()
}
