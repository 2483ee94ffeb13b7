package field

import (
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	tooltip "github.com/dweymouth/fyne-tooltip/widget"

	"halocline/app/study"
	"halocline/app/view/density"
	"halocline/selection"
)

// A Field shows a density and a pick, and lets the user drag the pick's lines.
// Use it on Fyne's goroutine.
type Field struct {
	tooltip.ToolTipWidget
	edited func(p selection.Pick, phase study.Phase)

	pick       selection.Pick
	known      bool // a pick was set
	bare       bool // the pick is by plane: the field has colours, and no lines
	density    *density.Map
	keep, drop []selection.Point
	preview    *selection.Pick
	hover      *selection.Point

	window hueWindow
	home   float64 // the hue in the ribbon's middle
	free   bool    // the user chose the window: it opens anew only when asked

	pull    *pull // a drag under way
	keys    keys
	cursor  desktop.Cursor
	focused bool

	pic     *canvas.Image // shows shown
	spare   *image.RGBA
	ground  *ground // nil: to be drawn anew
	drawnAs view    // what ground was drawn for
	pending bool    // a redraw is queued
}

// A pull is a drag of one part.
type pull struct {
	part   part
	x, y   float64 // where it was pressed, in screen pixels
	start  placed
	window hueWindow
	moved  bool // an edit was reported
}

var (
	_ fyne.Draggable      = (*Field)(nil)
	_ fyne.Focusable      = (*Field)(nil)
	_ fyne.Scrollable     = (*Field)(nil)
	_ fyne.DoubleTappable = (*Field)(nil)
	_ fyne.Tabbable       = (*Field)(nil)
	_ fyne.Shortcutable   = (*Field)(nil)
	_ desktop.Mouseable   = (*Field)(nil)
	_ desktop.Hoverable   = (*Field)(nil)
	_ desktop.Cursorable  = (*Field)(nil)
	_ fyne.WidgetRenderer = (*renderer)(nil)
)

const hint = "Drag a line or its handle, a corner, or the middle. Solid: full weight; dashed: the fade's end. " +
	"Wheel: zoom hue. Ribbon: drag to scroll, double-click to centre. Keys: Enter or Tab to a line, arrows move it."

// New returns a Field without a pick. edited gets the whole pick when the user
// changes it: Moved while a drag is on its way, then Done, or Cancelled with the
// pick as it was before.
func New(edited func(p selection.Pick, phase study.Phase)) *Field {
	f := &Field{edited: edited, density: new(density.Map), window: hueWindow{180, 360}, home: 180}
	f.pic = &canvas.Image{ScaleMode: canvas.ImageScaleFastest}
	f.SetToolTip(hint)
	f.ExtendBaseWidget(f)
	return f
}

// SetPick shows a pick. While the user drags, it is left aside. Unless the user
// zoomed or scrolled, the hues shown follow a pick that is out of view. Of a pick by plane
// the field shows no lines: it has the colours in LCh.
func (f *Field) SetPick(p selection.Pick) {
	if f.pull != nil {
		return
	}
	if f.bare = p.Model == selection.PlaneModel; f.bare {
		p = without(selection.LCh)
	}
	other := !f.known || p.Model != f.pick.Model
	hue := p.Limits[selection.Hue]
	whole := hue.Off || hue.Span() >= 360
	wasWhole := f.window.width == 360
	if other {
		f.free = false
	}
	if other || !f.free && (whole != wasWhole || !whole && !f.window.contains(hue.Range)) {
		f.open(hue)
	}
	f.pick, f.known = p, true
	f.redraw()
}

// without returns a pick in a model without ranges.
func without(m selection.Model) (p selection.Pick) {
	p.Model = m
	for c := range selection.Channels {
		p.Limits[c].Off = true
	}
	return p
}

// open shows the hues about a limit.
func (f *Field) open(hue selection.Limit) {
	f.window = opened(hue)
	f.home, f.ground = f.window.centre, nil
}

// SetDensity shows a density, which must not be measured into while it is shown;
// nil shows none.
func (f *Field) SetDensity(d *density.Map) {
	if d == nil {
		d = new(density.Map)
	}
	f.density, f.ground = d, nil
	f.redraw()
}

// SetSamples shows the colours of dabs.
func (f *Field) SetSamples(keep, drop []selection.Point) {
	f.keep, f.drop = keep, drop
	f.redraw()
}

// SetPreview shows the pick as it would become while a dab is pressed; nil: none.
func (f *Field) SetPreview(p *selection.Pick) {
	if p != nil && p.Model != f.pick.Model { // it has no place among these colours
		p = nil
	}
	f.preview = p
	f.redraw()
}

// SetHover rings the colour under the pointer in the frame; nil: none.
func (f *Field) SetHover(v *selection.Point) {
	if v == nil && f.hover == nil {
		return
	}
	f.hover = v
	f.redraw()
}

// MinSize leaves the width to the column, and follows it with the height.
func (f *Field) MinSize() fyne.Size {
	f.ExtendBaseWidget(f)
	return fyne.NewSize(240, HeightFor(f.Size().Width))
}

// scale returns screen pixels per unit.
func (f *Field) scale() float64 { return scaleOf(f) }

// scaleOf returns screen pixels per unit where an object stands.
func scaleOf(o fyne.CanvasObject) float64 {
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil {
		return float64(c.Scale())
	}
	return 1
}

// view returns what geometry depends on now.
func (f *Field) view() view {
	scale, size := f.scale(), f.Size()
	w, h := int(math.Round(float64(size.Width)*scale)), int(math.Round(float64(size.Height)*scale))
	v := view{laidOut(w, h, scale), f.window, 1}
	if f.pick.Model == selection.LCh {
		v.top = 100
		if f.density.Model == selection.LCh {
			v.top = f.density.Top()
		}
	}
	return v
}

func (f *Field) placed() placed { return place(f.view(), f.pick) }

// redraw draws anew soon: once for all that happens until then. In a drag it
// draws at once, into the frame that is about to be painted: what is queued waits
// for its turn among the frames, which is long where they are slow.
func (f *Field) redraw() {
	if f.pull != nil {
		f.draw()
		return
	}
	if f.pending {
		return
	}
	f.pending = true
	fyne.Do(func() {
		f.pending = false
		f.draw()
	})
}

// draw draws into the buffer that is not shown, and shows it.
func (f *Field) draw() {
	at := f.placed()
	if !at.usable() {
		return
	}
	f.drawGround(at.view)
	if f.spare == nil || f.spare.Rect.Dx() != at.w || f.spare.Rect.Dy() != at.h {
		f.spare = image.NewRGBA(image.Rect(0, 0, at.w, at.h))
	}
	s := scene{placed: &at, keep: f.keep, drop: f.drop, preview: f.preview, hover: f.hover, active: f.active(), focused: f.focused, bare: f.bare}
	s.draw(f.spare, f.ground)
	shown, _ := f.pic.Image.(*image.RGBA)
	f.pic.Image, f.spare = f.spare, shown
	f.pic.Refresh()
}

// drawGround draws the ground anew where it is not what v shows.
func (f *Field) drawGround(v view) {
	if f.ground != nil && f.drawnAs == v {
		return
	}
	d := f.density
	if d.Model != f.pick.Model { // of a model left a moment ago
		d = &density.Map{Model: f.pick.Model}
	}
	g := drawGround(v, d, f.home)
	f.ground, f.drawnAs = &g, v
}

// active returns the part that is grabbed, or chosen by keys.
func (f *Field) active() part {
	if f.pull != nil {
		return f.pull.part
	}
	if f.focused && f.keys.inside {
		return part{kind: aLine, channel: f.keys.channel, end: f.keys.end}
	}
	return part{}
}

// CreateRenderer is part of fyne.Widget.
func (f *Field) CreateRenderer() fyne.WidgetRenderer {
	f.ExtendBaseWidget(f)
	return &renderer{f, f.pic, f.redraw, func() (int, int, float64) { v := f.view(); return v.w, v.h, v.scale }}
}
