package viewer

import (
	"image"
	"math"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/view"
)

// Buffer returns a picture of the view's size in screen pixels to compose into;
// what is in it is undefined. It may be called from any goroutine.
func (v *Viewer) Buffer() *image.RGBA {
	size := v.pixels.Load()
	return v.buffer(int(size>>32), int(size&math.MaxInt32))
}

func (v *Viewer) buffer(w, h int) *image.RGBA {
	r := image.Rect(0, 0, w, h)
	for {
		select {
		case m := <-v.free:
			if m.Rect == r {
				return m
			}
		default:
			return image.NewRGBA(r)
		}
	}
}

func (v *Viewer) recycle(m *image.RGBA) {
	if m == nil {
		return
	}
	select {
	case v.free <- m:
	default:
	}
}

// Put hands over a finished picture and the viewport it shows, from any
// goroutine. Only the newest is shown. The picture is the viewer's from then on.
func (v *Viewer) Put(f *image.RGBA, vp view.Viewport) {
	if late := v.next.Swap(&finished{f, vp}); late != nil {
		v.recycle(late.pix)
	}
	v.queue()
}

// Redraw shows what is there anew, soon: marks have changed.
func (v *Viewer) Redraw() { v.queue() }

// queue has paint called once, however often it is asked for before that.
func (v *Viewer) queue() {
	if !v.queued.Swap(true) {
		v.do(v.paint)
	}
}

// paint puts the newest picture and the marks on the screen.
func (v *Viewer) paint() {
	v.queued.Store(false) // first: what is put from here on asks for another
	newest := v.next.Swap(nil)
	if newest != nil {
		if v.last != nil {
			v.recycle(v.last.pix)
		}
		v.last = newest
		if v.OnShow != nil {
			v.OnShow()
		}
	}
	if v.vp.VW > 0 && v.vp.VH > 0 {
		v.draw()
	}
	if newest != nil && v.OnShown != nil && !v.told {
		v.told = true
		v.do(func() {
			v.told = false
			v.OnShown()
		})
	}
}

// draw makes a new picture of the screen's pixels: that which is shown may be
// read at any time.
func (v *Viewer) draw() {
	dst := v.buffer(v.vp.VW, v.vp.VH)
	v.ground(dst)
	if v.Marks != nil && v.vp.W > 0 {
		v.Marks(dst, v.vp, float64(v.scale))
	}
	if v.tool != nil && v.vp.W > 0 {
		v.tool.Draw(dst, v.vp, float64(v.scale))
	}
	v.drawDivider(dst)
	if v.ringed {
		w := 2 * float64(v.scale)
		box := ink.Rect{X0: w / 2, Y0: w / 2, X1: float64(v.vp.VW) - w/2, Y1: float64(v.vp.VH) - w/2}
		ink.Box(dst, box, ink.Pen{Width: w, Colour: look.Accent})
	}
	old, _ := v.pic.Image.(*image.RGBA)
	v.pic.Image = dst
	v.pic.Refresh()
	v.recycle(old)
}

// ground writes the picture without marks.
func (v *Viewer) ground(dst *image.RGBA) {
	switch {
	case v.last == nil:
		view.Clear(dst)
	case v.last.vp == v.vp && v.last.pix.Rect == dst.Rect:
		copy(dst.Pix, v.last.pix.Pix)
	default:
		view.Warp(dst, v.vp, v.last.pix, v.last.vp)
	}
}

// How Compare's divider looks, in Fyne's units.
const (
	gripRadius = 12
	dividerHit = 4 // a press this near to the line takes it
)

// gripAt is where the divider's grip is, in screen pixels.
func (v *Viewer) gripAt() ink.Pt {
	return ink.Pt{X: math.Round(v.divider * float64(v.vp.VW)), Y: math.Round(float64(v.vp.VH) / 2)}
}

func (v *Viewer) onDivider(p Pointer) bool {
	if v.divider < 0 {
		return false
	}
	g, s := v.gripAt(), float64(v.scale)
	return math.Abs(p.SX-g.X) <= dividerHit*s || math.Hypot(p.SX-g.X, p.SY-g.Y) <= gripRadius*s
}

func (v *Viewer) drawDivider(dst *image.RGBA) {
	if v.divider < 0 || v.vp.W <= 0 {
		return
	}
	s, g := float64(v.scale), v.gripAt()
	top, foot := ink.Pt{X: g.X}, ink.Pt{X: g.X, Y: float64(v.vp.VH)}
	line := look.White
	if v.hold.by == byDivider {
		line = look.Accent
	}
	ink.Line(dst, top, foot, ink.Pen{Width: 4 * s, Colour: shade})
	ink.Line(dst, top, foot, ink.Pen{Width: 2 * s, Colour: line})
	ink.Disc(dst, g, (gripRadius+1)*s, shade)
	ink.Disc(dst, g, gripRadius*s, look.Well)
	ink.Ring(dst, g, (gripRadius-1)*s, ink.Pen{Width: 2 * s, Colour: line})
	for _, way := range []float64{-1, 1} {
		tip := ink.Pt{X: g.X + 7*s*way, Y: g.Y}
		ink.Polygon(dst, []ink.Pt{tip, {X: tip.X - 4*s*way, Y: g.Y - 4*s}, {X: tip.X - 4*s*way, Y: g.Y + 4*s}}, line)
	}
	v.drawName(dst, v.left, -1, g.X)
	v.drawName(dst, v.right, 1, float64(v.vp.VW)-g.X)
}

// drawName writes a view's name into the upper corner of its side, which is room
// wide; not where it would not fit.
func (v *Viewer) drawName(dst *image.RGBA, name string, side int, room float64) {
	s := float64(v.scale)
	w := look.Type.Width(name, look.SmallSize*s) + 16*s
	if name == "" || w+16*s > room {
		return
	}
	x := 8 * s
	if side > 0 {
		x = float64(v.vp.VW) - 8*s - w
	}
	x = math.Round(x)
	ink.Fill(dst, ink.Rect{X0: x, Y0: math.Round(8 * s), X1: x + math.Round(w), Y1: math.Round(32 * s)}, nameGround)
	look.Type.Text(dst, ink.Pt{X: x + w/2, Y: math.Round(20 * s)}, name, look.SmallSize*s, look.Text, ink.MidCentre)
}
