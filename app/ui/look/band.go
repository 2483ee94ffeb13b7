package look

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
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
	kind    BandKind
	mark    *MarkImage
	what    *Label
	todo    *Label
	buttons *fyne.Container
	details *Button
	closing *Button
	closed  func()
	content *fyne.Container
	ground  *canvas.Rectangle
}

const bandHeight = 44

// NewBand is a hidden band.
func NewBand(kind BandKind) *Band {
	b := &Band{mark: NewMark(NoMark, Text)}
	b.what = NewLabel("", Style{Bold: true})
	b.todo = NewLabel("", Style{Size: SmallSize, Colour: Second})
	b.details = NewButton("Details", nil)
	b.details.Hide()
	b.closing = NewIconButton(Cross, "Close", b.Close)
	b.buttons = HBox(8)
	b.ground = canvas.NewRectangle(Well)
	b.ground.StrokeWidth = 1
	words := VBox(1, b.what, b.todo)
	b.content = container.NewStack(b.ground, Pad(12, 4, 8, 4, HFill(10, 1, centred(b.mark), centred(words),
		centred(b.buttons), centred(b.details), centred(b.closing))))
	b.SetKind(kind)
	b.ExtendBaseWidget(b)
	b.Hide()
	return b
}

// centred keeps an object's height in the middle of a row and gives it the
// whole width.
func centred(o fyne.CanvasObject) *fyne.Container {
	return container.New(centreLayout{}, o)
}

type centreLayout struct{}

func (centreLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	if !objects[0].Visible() {
		return fyne.Size{}
	}
	return objects[0].MinSize()
}

func (centreLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	height := objects[0].MinSize().Height
	place(objects[0], 0, (size.Height-height)/2, size.Width, height)
}

// SetKind changes how bad it is.
func (b *Band) SetKind(kind BandKind) {
	b.kind = kind
	b.ground.StrokeColor = lowerLine
	switch kind {
	case Failed:
		b.mark.Set(Triangle, Fail)
	case Caution:
		b.mark.Set(Triangle, Warn)
	case Notice:
		b.mark.Set(Dot, Text)
	}
}

// Say shows the band: what happened, and what to do about it.
func (b *Band) Say(what, todo string) {
	b.what.SetText(what)
	b.todo.SetText(todo)
	b.Show()
	b.Refresh()
}

// SetButtons puts buttons of the message's own before Details and Close.
func (b *Band) SetButtons(buttons ...*Button) {
	b.buttons.Objects = nil
	for _, o := range buttons {
		b.buttons.Add(o)
	}
	b.Refresh()
}

// OnDetails shows a Details button that calls open; nil hides it.
func (b *Band) OnDetails(open func()) {
	b.details.tapped = open
	if open == nil {
		b.details.Hide()
	} else {
		b.details.Show()
	}
	b.Refresh()
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

// What is what the band says happened.
func (b *Band) What() string { return b.what.Text() }

func (b *Band) CreateRenderer() fyne.WidgetRenderer {
	return &face{of: b, objects: []fyne.CanvasObject{b.content},
		min:  func() fyne.Size { return fyne.NewSize(b.content.MinSize().Width, bandHeight) },
		draw: func(size fyne.Size) { b.content.Resize(size); b.content.Refresh() }}
}

// Spacer takes what room is left in an HBox or VBox.
func Spacer() fyne.CanvasObject { return layout.NewSpacer() }
