package timeline

import (
	"image"

	"fyne.io/fyne/v2"
)

// redrawAll redraws what changes seldom too.
func (a *Area) redrawAll() {
	a.stale = true
	a.redraw()
}

// redraw draws anew soon: once for all that happens until then. In a drag, and
// while the clip plays, it draws at once, into the frame that is about to be
// painted: what is queued waits for its turn among the frames, which is long where
// they are slow.
func (a *Area) redraw() {
	if a.pull != nil || a.playing {
		a.draw()
		return
	}
	if a.pending {
		return
	}
	a.pending = true
	fyne.Do(func() {
		a.pending = false
		a.draw()
	})
}

// draw draws into the buffer that is not shown, and shows it.
func (a *Area) draw() {
	p := a.plan()
	if !p.usable() {
		return
	}
	a.compose(&p)
	shown, _ := a.pic.Image.(*image.RGBA)
	a.pic.Image, a.spare = a.spare, shown
	a.pic.Refresh()
}

// compose draws into the spare buffer.
func (a *Area) compose(p *plan) {
	a.base, a.spare = sized(a.base, p), sized(a.spare, p)
	if a.stale || *p != a.drawnAs {
		a.ground(a.base, p)
		a.drawnAs, a.stale = *p, false
	}
	copy(a.spare.Pix, a.base.Pix)
	a.overlay(a.spare, p)
}

// sized is an opaque picture of the plan's size, the one at hand if it fits.
func sized(m *image.RGBA, p *plan) *image.RGBA {
	if m != nil && m.Rect.Dx() == p.w && m.Rect.Dy() == p.h {
		return m
	}
	m = image.NewRGBA(image.Rect(0, 0, p.w, p.h))
	for i := 3; i < len(m.Pix); i += 4 {
		m.Pix[i] = 255
	}
	return m
}

// CreateRenderer is part of fyne.Widget.
func (a *Area) CreateRenderer() fyne.WidgetRenderer {
	a.ExtendBaseWidget(a)
	return &renderer{a, []fyne.CanvasObject{a.pic}}
}

// A renderer shows the one picture.
type renderer struct {
	area    *Area
	objects []fyne.CanvasObject
}

func (r *renderer) Objects() []fyne.CanvasObject { return r.objects }
func (r *renderer) MinSize() fyne.Size           { return r.area.MinSize() }
func (r *renderer) Refresh()                     { r.area.redraw() }
func (r *renderer) Destroy()                     {}

// Layout gives the picture the size of whole screen pixels and has it drawn.
func (r *renderer) Layout(fyne.Size) {
	p := r.area.plan()
	r.area.pic.Resize(fyne.NewSize(float32(float64(p.w)/p.scale), float32(float64(p.h)/p.scale)))
	r.area.redraw()
}
