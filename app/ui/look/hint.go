package look

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"
)

// Hinted shows words at the pointer over something that has none itself, such
// as a label or a picture.
type Hinted struct {
	ttwidget.ToolTipWidget
	content fyne.CanvasObject
}

// NewHinted puts a hint on content.
func NewHinted(hint string, content fyne.CanvasObject) *Hinted {
	h := &Hinted{content: content}
	h.ExtendBaseWidget(h)
	h.SetToolTip(hint)
	return h
}

// SetHint changes the words; none where empty.
func (h *Hinted) SetHint(hint string) { h.SetToolTip(hint) }

func (h *Hinted) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(h.content) }
