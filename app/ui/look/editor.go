package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"
)

// An editor is Fyne's line of text without its box, for a control to put into
// a box of its own. It commits on Return and when it loses the focus.
type editor struct {
	widget.Entry
	ttwidget.ToolTipWidgetExtend
	focus  func(on bool)
	commit func()
	cancel func()
	key    func(ev *fyne.KeyEvent) bool // takes a key before the editor does
	short  func(name fyne.KeyName) bool // takes Ctrl and a key
	fresh  bool                         // the press under way brought the focus
}

func newEditor() *editor {
	e := &editor{}
	e.Wrapping = fyne.TextWrapOff
	e.Scroll = fyne.ScrollHorizontalOnly
	e.ExtendBaseWidget(e)
	e.OnSubmitted = func(string) { e.commit() }
	return e
}

func (e *editor) ExtendBaseWidget(w fyne.Widget) {
	e.Entry.ExtendBaseWidget(w)
	e.ExtendToolTipWidget(w)
}

func (e *editor) MinSize() fyne.Size { return fyne.NewSize(0, target) }

func (e *editor) MouseDown(ev *desktop.MouseEvent) {
	e.ToolTipWidgetExtend.MouseOut()
	had := canvasOf(e) != nil && canvasOf(e).Focused() == fyne.Focusable(e)
	e.Entry.MouseDown(ev)
	e.fresh = !had
}

// MouseUp chooses the whole text after the press that brought the focus, so
// that what is typed next replaces it; a part that was dragged over stays.
func (e *editor) MouseUp(ev *desktop.MouseEvent) {
	e.Entry.MouseUp(ev)
	if e.fresh && e.SelectedText() == "" {
		e.Entry.TypedShortcut(&fyne.ShortcutSelectAll{})
	}
	e.fresh = false
}

func (e *editor) FocusGained() {
	e.Entry.FocusGained()
	e.focus(true)
	e.Entry.TypedShortcut(&fyne.ShortcutSelectAll{})
}

func (e *editor) FocusLost() {
	e.Entry.FocusLost()
	e.commit()
	e.focus(false)
}

func (e *editor) TypedKey(ev *fyne.KeyEvent) {
	switch {
	case e.key != nil && e.key(ev):
	case ev.Name == fyne.KeyEscape:
		e.cancel()
	case ev.Name == fyne.KeyPageUp || ev.Name == fyne.KeyPageDown: // of no use in one line
		e.commit()
		if in := canvasOf(e); in != nil && in.OnTypedKey() != nil {
			in.OnTypedKey()(ev)
		}
	default:
		e.Entry.TypedKey(ev)
	}
}

func (e *editor) TypedShortcut(s fyne.Shortcut) {
	if c, ok := s.(*desktop.CustomShortcut); ok && e.short != nil &&
		c.Modifier == fyne.KeyModifierControl && e.short(c.KeyName) {
		return
	}
	e.Entry.TypedShortcut(s)
}

// show puts a text in, silently.
func (e *editor) show(text string) {
	if e.Text == text {
		return
	}
	heard := e.OnChanged
	e.OnChanged = nil
	e.SetText(text)
	e.OnChanged = heard
}

// CreateRenderer is the entry's own, its two rectangles left out.
func (e *editor) CreateRenderer() fyne.WidgetRenderer {
	return &bare{WidgetRenderer: e.Entry.CreateRenderer()}
}

type bare struct {
	fyne.WidgetRenderer
	kept []fyne.CanvasObject
}

func (b *bare) Objects() []fyne.CanvasObject {
	b.kept = b.kept[:0]
	for _, o := range b.WidgetRenderer.Objects() {
		if _, box := o.(*canvas.Rectangle); !box {
			b.kept = append(b.kept, o)
		}
	}
	return b.kept
}

// editorPad is what the editor keeps free left and right of its text.
const editorPad = 4

// editorTheme is the theme inside of an editor: small text, tight.
type editorTheme struct{ fyne.Theme }

func (t editorTheme) Size(name fyne.ThemeSizeName) float32 {
	switch name {
	case theme.SizeNameText:
		return SmallSize
	case theme.SizeNameInnerPadding:
		return editorPad
	case theme.SizeNameInputBorder, theme.SizeNameLineSpacing:
		return 1
	case theme.SizeNameScrollBar, theme.SizeNameScrollBarSmall:
		return 0
	}
	return t.Theme.Size(name)
}

func (t editorTheme) Color(name fyne.ThemeColorName, v fyne.ThemeVariant) color.Color {
	if name == theme.ColorNamePrimary {
		return Text // the caret
	}
	return t.Theme.Color(name, v)
}
