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
	at     *Spot // pressed and not yet let go
	radius float64
}

func newBaseTool(w *window) *baseTool { return &baseTool{w: w, radius: 10} }

func (t *baseTool) Press(p viewer.Pointer) bool {
	if t.w.desk.Session == nil || p.Button != desktop.MouseButtonPrimary {
		return false
	}
	t.at = &Spot{X: p.X, Y: p.Y, Radius: t.radius}
	t.w.viewer.Redraw()
	return true
}

func (t *baseTool) Drag(p viewer.Pointer) {
	if t.at != nil {
		t.at.X, t.at.Y = p.X, p.Y
		t.w.viewer.Redraw()
	}
}

func (t *baseTool) Release(viewer.Pointer) {
	if t.at == nil {
		return
	}
	at := *t.at
	t.at = nil
	t.w.desk.TakeBase(at)
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
	t.at.Radius = t.radius
	t.w.viewer.Redraw()
	return true
}

func (t *baseTool) Key(name fyne.KeyName, mods fyne.KeyModifier) bool {
	if t.cursor.key(t.w, name, mods) {
		return true
	}
	if (name == fyne.KeyReturn || name == fyne.KeyEnter) && t.cursor.on {
		t.w.desk.TakeBase(Spot{X: t.cursor.x, Y: t.cursor.y, Radius: t.radius})
		return true
	}
	return false
}

func (t *baseTool) Draw(dst *image.RGBA, vp view.Viewport, scale float64) {
	if s := t.w.desk.GreySpot(); s != nil {
		drawSpot(dst, vp, scale, *s, "grey")
	}
	if s := t.w.desk.WaterSpot(); s != nil {
		drawSpot(dst, vp, scale, *s, "open water")
	}
	if t.at != nil {
		drawSpot(dst, vp, scale, *t.at, "")
	}
	t.cursor.draw(dst, vp, scale)
}

func (t *baseTool) Cursor(viewer.Pointer) desktop.Cursor { return desktop.CrosshairCursor }

// drawSpot draws where something was sampled.
func drawSpot(dst *image.RGBA, vp view.Viewport, scale float64, s Spot, name string) {
	x, y := vp.ToScreen(s.X, s.Y)
	r := max(s.Radius*vp.Zoom, 5*scale)
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

// GreySpot is where on the frame shown the grey was sampled that the base is
// balanced by; nil for nowhere known. waterSpot likewise.
func (d *Desk) GreySpot() *Spot {
	if s, ok := d.grey[d.Frame]; ok && d.BaseNow().Gains == s.took {
		return &s
	}
	return nil
}

func (d *Desk) WaterSpot() *Spot {
	if s, ok := d.water[d.Frame]; ok && d.BaseNow().Veil == s.took {
		return &s
	}
	return nil
}

// GreyFrame is the frame nearest to the one shown on which the grey was
// sampled that the base is balanced by there; ok is false for none known.
func (d *Desk) GreyFrame() (at int, ok bool) {
	for f, s := range d.grey {
		near := !ok || distance(f, d.Frame) < distance(at, d.Frame) || distance(f, d.Frame) == distance(at, d.Frame) && f < at
		if near && d.Study().Base.At(f).Gains == s.took {
			at, ok = f, true
		}
	}
	return at, ok
}

// TakeBase samples what was pressed and sets the base by it.
func (d *Desk) TakeBase(at Spot) {
	src := d.SourceNow()
	if src == nil {
		d.Note("The frame is still being read: press again in a moment")
		return
	}
	light, n := d.BaseNow().Sample(src, at.X, at.Y, at.Radius)
	if n == 0 {
		d.Report(Problem{What: "Nothing sampled", ToDo: "Press on the picture.", Err: errors.New("the place lies outside the frame")})
		return
	}
	if d.Press == PressWater {
		d.takeWater(at, light)
		return
	}
	d.takeGrey(at, light)
}

func (d *Desk) takeGrey(at Spot, light [3]float64) {
	frame := d.Frame
	done := d.Edit(pressOnGrey, func(s *study.Study, _ *study.Matte) error {
		return work.SetGrey(&s.Base, frame, light)
	})
	if !done {
		return
	}
	at.took = d.Study().Base.At(frame).Gains
	d.Set(func() { d.grey[frame] = at })
	if g := at.took; max(g[0], g[1], g[2]) > farFromGrey*min(g[0], g[1], g[2]) {
		d.Report(Problem{What: "Was that grey?", ToDo: "It took very uneven gains. Undo, and press on something without a colour of its own."})
	}
}

func (d *Desk) takeWater(at Spot, light [3]float64) {
	frame := d.Frame
	grey := d.GreySpot()
	elsewhere, known := d.GreyFrame()
	done := d.Edit(pressOnWater, func(s *study.Study, _ *study.Matte) error {
		work.SetOpenWater(&s.Base, frame, light)
		return nil
	})
	if done {
		at.took = d.BaseNow().Veil
		d.Set(func() { d.water[frame], d.Press = at, PressGrey })
		if grey != nil { // what is grey depends on the water
			if light, n := d.BaseNow().Sample(d.SourceNow(), grey.X, grey.Y, grey.Radius); n > 0 {
				d.takeGrey(*grey, light)
			}
		} else if known {
			d.Report(Problem{What: "The grey was taken with other water", ToDo: fmt.Sprintf("Press on it again, here or at frame %d: what is grey depends on the water.", elsewhere)})
		}
	}
}
