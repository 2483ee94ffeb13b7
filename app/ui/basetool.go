package ui

import (
	"errors"
	"fmt"
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/ink"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/viewer"
	"halocline/app/view"
	"halocline/app/work"
)

// A baseTool samples a grey thing or open water where the frame is pressed.
type baseTool struct {
	w      *window
	cursor cursor
	at     *spot // pressed and not yet let go
	radius float64
}

func newBaseTool(w *window) *baseTool { return &baseTool{w: w, radius: 10} }

func (t *baseTool) Press(p viewer.Pointer) bool {
	if t.w.desk.Session == nil || p.Button != desktop.MouseButtonPrimary {
		return false
	}
	t.at = &spot{x: p.X, y: p.Y, radius: t.radius}
	t.w.viewer.Redraw()
	return true
}

func (t *baseTool) Drag(p viewer.Pointer) {
	if t.at != nil {
		t.at.x, t.at.y = p.X, p.Y
		t.w.viewer.Redraw()
	}
}

func (t *baseTool) Release(viewer.Pointer) {
	if t.at == nil {
		return
	}
	at := *t.at
	t.at = nil
	t.w.takeBase(at)
}

func (t *baseTool) Cancel() {
	t.at = nil
	t.w.viewer.Redraw()
}

func (t *baseTool) Hover(viewer.Pointer) {}
func (t *baseTool) Leave()               {}

func (t *baseTool) Wheel(_ viewer.Pointer, notches float64) bool {
	if t.at == nil {
		return false
	}
	t.radius = resized(t.radius, notches)
	t.at.radius = t.radius
	t.w.viewer.Redraw()
	return true
}

func (t *baseTool) Key(name fyne.KeyName, mods fyne.KeyModifier) bool {
	if t.cursor.key(t.w, name, mods) {
		return true
	}
	if (name == fyne.KeyReturn || name == fyne.KeyEnter) && t.cursor.on {
		t.w.takeBase(spot{x: t.cursor.x, y: t.cursor.y, radius: t.radius})
		return true
	}
	return false
}

func (t *baseTool) Draw(dst *image.RGBA, vp view.Viewport, scale float64) {
	if s := t.w.greySpot(); s != nil {
		drawSpot(dst, vp, scale, *s, "grey")
	}
	if s := t.w.waterSpot(); s != nil {
		drawSpot(dst, vp, scale, *s, "open water")
	}
	if t.at != nil {
		drawSpot(dst, vp, scale, *t.at, "")
	}
	t.cursor.draw(dst, vp, scale)
}

func (t *baseTool) Cursor(viewer.Pointer) desktop.Cursor { return desktop.CrosshairCursor }

// drawSpot draws where something was sampled.
func drawSpot(dst *image.RGBA, vp view.Viewport, scale float64, s spot, name string) {
	x, y := vp.ToScreen(s.x, s.y)
	r := max(s.radius*vp.Zoom, 5*scale)
	ink.Ring(dst, ink.Pt{X: x, Y: y}, r, ink.Pen{Width: 4 * scale, Colour: shadow})
	ink.Ring(dst, ink.Pt{X: x, Y: y}, r, ink.Pen{Width: 1.6 * scale, Colour: look.Bone})
	if name != "" {
		label(dst, ink.Pt{X: x + r + 6*scale, Y: y}, name, scale)
	}
}

// farFromGrey is how uneven gains may be, largest to smallest, before it is
// asked whether what was sampled is grey: red lies 3 stops below blue in a clear
// sea at ten metres (common practice, no source).
const farFromGrey = 8

// greySpot is where on the frame shown the grey was sampled that the base is
// balanced by; nil for nowhere known. waterSpot likewise.
func (w *window) greySpot() *spot {
	if s, ok := w.desk.grey[w.desk.Frame]; ok && w.desk.BaseNow().Gains == s.took {
		return &s
	}
	return nil
}

func (w *window) waterSpot() *spot {
	if s, ok := w.desk.water[w.desk.Frame]; ok && w.desk.BaseNow().Veil == s.took {
		return &s
	}
	return nil
}

// greyFrame is the frame nearest to the one shown on which the grey was
// sampled that the base is balanced by there; ok is false for none known.
func (w *window) greyFrame() (at int, ok bool) {
	d := w.desk
	for f, s := range d.grey {
		near := !ok || distance(f, d.Frame) < distance(at, d.Frame) || distance(f, d.Frame) == distance(at, d.Frame) && f < at
		if near && d.Study().Base.At(f).Gains == s.took {
			at, ok = f, true
		}
	}
	return at, ok
}

// takeBase samples what was pressed and sets the base by it.
func (w *window) takeBase(at spot) {
	src := w.sourceNow()
	if src == nil {
		w.status.note("The frame is still being read: press again in a moment")
		return
	}
	light, n := w.desk.BaseNow().Sample(src, at.x, at.y, at.radius)
	if n == 0 {
		w.report(problem{what: "Nothing sampled", todo: "Press on the picture.", err: errors.New("the place lies outside the frame")})
		return
	}
	if w.desk.Press == PressWater {
		w.takeWater(at, light)
		return
	}
	w.takeGrey(at, light)
}

func (w *window) takeGrey(at spot, light [3]float64) {
	frame := w.desk.Frame
	done := w.desk.Edit(pressOnGrey, func(s *study.Study, _ *study.Matte) error {
		return work.SetGrey(&s.Base, frame, light)
	})
	if !done {
		return
	}
	at.took = w.desk.Study().Base.At(frame).Gains
	w.desk.Set(func() { w.desk.grey[frame] = at })
	if g := at.took; max(g[0], g[1], g[2]) > farFromGrey*min(g[0], g[1], g[2]) {
		w.say(look.Caution, "Was that grey?", "It took very uneven gains. Undo, and press on something without a colour of its own.", nil)
	}
}

func (w *window) takeWater(at spot, light [3]float64) {
	frame := w.desk.Frame
	grey := w.greySpot()
	elsewhere, known := w.greyFrame()
	done := w.desk.Edit(pressOnWater, func(s *study.Study, _ *study.Matte) error {
		work.SetOpenWater(&s.Base, frame, light)
		return nil
	})
	if done {
		at.took = w.desk.BaseNow().Veil
		w.desk.Set(func() { w.desk.water[frame], w.desk.Press = at, PressGrey })
		if grey != nil { // what is grey depends on the water
			if light, n := w.desk.BaseNow().Sample(w.sourceNow(), grey.x, grey.y, grey.radius); n > 0 {
				w.takeGrey(*grey, light)
			}
		} else if known {
			w.say(look.Caution, "The grey was taken with other water", fmt.Sprintf("Press on it again, here or at frame %d: what is grey depends on the water.", elsewhere), nil)
		}
	}
}
