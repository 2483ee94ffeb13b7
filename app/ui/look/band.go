package look

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// BandKind is how bad a message is.
type BandKind int

const (
	Failed  BandKind = iota // it did not work
	Caution                 // worth a look
	Notice                  // good to know
)

// Band is a message across the window: a triangle, what happened, what to do,
// buttons. It is hidden while it has nothing to say.
type Band struct {
	widget.BaseWidget
	what, todo *Label
	details    *Button
	closing    *Button
	acts       *fyne.Container
	content    *fyne.Container
	closed     func()
}

const bandHeight = 44

// NewBand is a hidden band.
func NewBand(kind BandKind) *Band {
	b := &Band{acts: HBox(8)}
	b.what = NewLabel("", Style{Bold: true})
	b.todo = NewLabel("", Style{Size: SmallSize, Colour: Second})
	b.details = NewButton("Details", nil)
	b.details.Hide()
	b.closing = NewIconButton(Cross, "Close", b.Close)
	b.SetButtons()
	row := HFill(12, 0, Centre(VBox(1, b.what, b.todo)), Centre(b.acts))
	if sign := kind.sign(); sign != nil {
		row = HFill(12, 1, append([]fyne.CanvasObject{Centre(sign)}, row.Objects...)...)
	}
	ground := canvas.NewRectangle(Well)
	ground.StrokeWidth, ground.StrokeColor, ground.CornerRadius = 1, grey(0x4a), radius
	b.content = container.NewStack(ground, Pad(12, 4, 8, 4, row))
	b.ExtendBaseWidget(b)
	b.Hide()
	return b
}

// sign is the triangle of what needs a look; a notice has none.
func (k BandKind) sign() fyne.CanvasObject {
	switch k {
	case Failed:
		return NewMark(Triangle, Fail)
	case Caution:
		return NewMark(Triangle, Warn)
	}
	return nil
}

// Say shows the band: what happened, and what to do about it.
func (b *Band) Say(what, todo string) {
	b.what.SetText(what)
	b.todo.SetText(todo)
	b.todo.Hidden = todo == "" // what happened stands in the middle then
	b.content.Refresh()
	b.Show()
}

// SetButtons puts buttons of the message's own before Details and Close.
func (b *Band) SetButtons(buttons ...*Button) {
	b.acts.Objects = nil
	for _, o := range append(slices.Clone(buttons), b.details, b.closing) {
		b.acts.Objects = append(b.acts.Objects, o)
	}
	b.acts.Refresh()
}

// OnDetails shows a Details button that calls open; nil hides it.
func (b *Band) OnDetails(open func()) {
	b.details.tapped = open
	b.details.Hidden = open == nil
	b.content.Refresh()
}

// OnClosed names who hears when the user closes the band.
func (b *Band) OnClosed(heard func()) { b.closed = heard }

// Close hides the band, as its button does.
func (b *Band) Close() {
	b.Hide()
	if b.closed != nil {
		b.closed()
	}
}

// ToDo is what the band says is to be done.
func (b *Band) ToDo() string { return b.todo.Text() }

// What is what the band says happened.
func (b *Band) What() string { return b.what.Text() }

func (b *Band) CreateRenderer() fyne.WidgetRenderer {
	return &face{of: b, objects: []fyne.CanvasObject{b.content},
		min:  func() fyne.Size { return fyne.NewSize(b.content.MinSize().Width, bandHeight) },
		draw: func(size fyne.Size) { b.content.Resize(size) }}
}
