package frame

import (
	"image"

	"halocline/app/ink"
	"halocline/app/ui/handles"
	"halocline/app/ui/viewer"
)

// A chooseBox is a rectangle drawn on the frame to choose the vertices in it. Its corners are
// points of the screen.
type chooseBox struct {
	from, to ink.Pt
	had      []int // vertices that were chosen before
}

// openBox begins to draw a rectangle.
func (t *maskTool) openBox(p viewer.Pointer) {
	at := ink.Pt{X: p.SX, Y: p.SY}
	t.box = &chooseBox{from: at, to: at, had: t.chosen.vertices}
}

// stretchBox takes the rectangle's corner to the pointer, and chooses what lies in it besides
// what was chosen before.
func (t *maskTool) stretchBox(p viewer.Pointer) {
	t.box.to = ink.Pt{X: p.SX, Y: p.SY}
	t.chosen.only(-1)
	t.chosen.add(t.box.had)
	if h := t.handles(); h != nil {
		t.chosen.add(h.VerticesIn(t.box.from, t.box.to))
	}
	t.viewer.Redraw()
}

func (b *chooseBox) draw(dst *image.RGBA, scale float64) {
	if b != nil {
		handles.DrawChoice(dst, b.from, b.to, scale)
	}
}
