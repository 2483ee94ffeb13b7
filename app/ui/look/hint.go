package look

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
	ttwidget "github.com/dweymouth/fyne-tooltip/widget"
)

// Hinted shows words at the pointer over something that has none itself, such
// as a label or a picture.
type Hinted struct {
	ttwidget.ToolTipWidget
	content fyne.CanvasObject
	hovered bool
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

func (h *Hinted) MouseIn(e *desktop.MouseEvent) {
	h.hovered = true
	h.ToolTipWidget.MouseIn(e)
}

func (h *Hinted) MouseOut() {
	h.hovered = false
	HideHint(h.ToolTipWidget.MouseOut, func() bool { return h.hovered })
}

// lateHint is how long after the pointer has left a hint may still appear: it
// can be on its way already when it is called off, and waits for its turn.
const lateHint = 250 * time.Millisecond

// HideHint calls off a widget's hint as the pointer leaves it, and once more a
// little later, unless the pointer is back by then.
func HideHint(out func(), hovered func() bool) {
	out()
	time.AfterFunc(lateHint, func() {
		fyne.Do(func() {
			if !hovered() {
				out()
			}
		})
	})
}
