package field

import (
	"fyne.io/fyne/v2"

	"halocline/selection"
)

// HandlePlace returns where the middle of a line's handle is within the widget:
// of a channel, 0 for where the fade before begins, 1 for from, 2 for to, 3 for
// where the fade after ends. ok is false where it is not in view.
func (f *Field) HandlePlace(c selection.Channel, line int) (at fyne.Position, ok bool) {
	if !f.known {
		return at, false
	}
	p := f.placed()
	m := p.marks[c][line]
	x, y := p.handleAt(m)
	s := f.scale()
	return fyne.NewPos(float32(x/s), float32(y/s)), m.shown
}
