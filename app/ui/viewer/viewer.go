package viewer

import (
	"image"
	"math"
	"sync/atomic"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"halocline/app/view"
)

// A Viewer shows finished pictures of a view, with the marks of a tool over
// them, and hands the user's acts on. All but Buffer and Put is for Fyne's
// goroutine.
//
// The middle button moves the picture, and so does the primary one where the
// tool does not take its press; the wheel zooms at the pointer; Escape undoes a
// drag. A press gives the viewer the focus. Keys that neither it nor the tool
// takes go to the canvas, as if nothing had the focus.
//
// Until what belongs to a changed viewport is put, the last picture stands in
// for it, moved and stretched.
type Viewer struct {
	widget.BaseWidget

	OnViewport func(view.Viewport)                                    // the user, Fit, Zoom or a new size changed it
	OnPointer  func(p Pointer, inside bool)                           // the mouse moved; inside: it is over the picture
	OnShow     func()                                                 // something put is about to be drawn, and marks over it
	Marks      func(dst *image.RGBA, vp view.Viewport, scale float64) // draws marks below the tool's, as a Tool's Draw does; may be nil
	OnShown    func()                                                 // something put was shown; queued when it was
	OnDivider  func(share float64)                                    // the user moved Compare's divider

	pic   *canvas.Image
	vp    view.Viewport
	scale float32 // screen px per unit
	tool  Tool

	divider     float64 // share of the width, negative: none
	left, right string

	next   atomic.Pointer[finished] // put, not yet shown
	free   chan *image.RGBA         // pictures nobody looks at
	pixels atomic.Int64             // the view's size: width << 32 | height
	queued atomic.Bool              // a paint is on its way
	told   bool                     // OnShown is
	last   *finished                // what is shown, without marks
	do     func(func())             // fyne.Do
	now    func() time.Time

	hold    hold
	at      Pointer // the mouse, when last heard of
	hovered bool
	clicked click
	ringed  bool // the focus came by the keyboard
}

// A finished is a picture of a view and what it shows.
type finished struct {
	pix *image.RGBA
	vp  view.Viewport
}

// New returns a viewer of nothing yet.
func New() *Viewer {
	v := &Viewer{
		pic:     &canvas.Image{ScaleMode: canvas.ImageScalePixels},
		scale:   1,
		divider: -1,
		free:    make(chan *image.RGBA, 4),
		do:      fyne.Do,
		now:     time.Now,
	}
	v.ExtendBaseWidget(v)
	return v
}

// SetTool makes t what acts on the frame; nil: nothing does. A drag that the
// former tool holds is cancelled.
func (v *Viewer) SetTool(t Tool) {
	v.cancel()
	if v.tool != nil && v.hovered {
		v.tool.Leave()
	}
	v.tool = t
	if t != nil && v.hovered {
		t.Hover(v.at)
	}
	v.Redraw()
}

// SetPicture fits a picture of another size, in source pixels. What was shown
// goes unless it has that size too.
func (v *Viewer) SetPicture(w, h int) {
	v.show(view.Viewport{W: w, H: h, VW: v.vp.VW, VH: v.vp.VH}.Fit(), false)
}

// Viewport returns what is looked at.
func (v *Viewer) Viewport() view.Viewport { return v.vp }

// SetViewport looks at what vp says, in the view's own size.
func (v *Viewer) SetViewport(vp view.Viewport) { v.show(vp.Resized(v.vp.VW, v.vp.VH), false) }

// Fit shows the whole picture.
func (v *Viewer) Fit() { v.show(v.vp.Fit(), true) }

// Zoom zooms about the view's centre; 100 percent is one screen pixel to a
// source pixel.
func (v *Viewer) Zoom(percent float64) {
	v.show(v.vp.ZoomedAt(float64(v.vp.VW)/2, float64(v.vp.VH)/2, percent/100), true)
}

// show looks at vp, and reports it where the user did it.
func (v *Viewer) show(vp view.Viewport, report bool) {
	if vp == v.vp {
		return
	}
	v.vp = vp
	v.Redraw()
	if report && v.OnViewport != nil {
		v.OnViewport(vp)
	}
}

// SetDivider draws Compare's divider at a share of the view's width, or none
// where that is negative.
func (v *Viewer) SetDivider(share float64) {
	if !(share >= 0) {
		share = -1
	}
	if share = min(share, 1); share != v.divider {
		v.divider = share
		v.Redraw()
	}
}

// Divider is where Compare's divider is; negative where there is none.
func (v *Viewer) Divider() float64 { return v.divider }

// SetNames says what is left and right of the divider.
func (v *Viewer) SetNames(left, right string) {
	if left != v.left || right != v.right {
		v.left, v.right = left, right
		v.Redraw()
	}
}

// CreateRenderer is for Fyne.
func (v *Viewer) CreateRenderer() fyne.WidgetRenderer { return &renderer{v} }

// measure takes over the widget's size and the canvas's scale.
func (v *Viewer) measure(size fyne.Size) {
	if c := v.canvas(); c != nil && c.Scale() > 0 {
		v.scale = c.Scale()
	}
	w, h := int(math.Round(float64(size.Width*v.scale))), int(math.Round(float64(size.Height*v.scale)))
	v.pic.Resize(fyne.NewSize(float32(w)/v.scale, float32(h)/v.scale))
	if w == v.vp.VW && h == v.vp.VH {
		return
	}
	v.pixels.Store(int64(w)<<32 | int64(h))
	v.show(v.vp.Resized(w, h), v.vp.W > 0)
}

func (v *Viewer) canvas() fyne.Canvas {
	if fyne.CurrentApp() == nil {
		return nil
	}
	return fyne.CurrentApp().Driver().CanvasForObject(v)
}

type renderer struct{ v *Viewer }

func (r *renderer) Layout(size fyne.Size)        { r.v.measure(size) }
func (r *renderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.v.pic} }
func (r *renderer) Destroy()                     {}

func (r *renderer) Refresh() {
	r.v.measure(r.v.Size())
	r.v.Redraw()
}

// MinSize is asked in every frame, which is the one chance to see that the
// widget has come to a canvas, or its canvas to another scale.
func (r *renderer) MinSize() fyne.Size {
	if c := r.v.canvas(); c != nil && c.Scale() != r.v.scale {
		r.v.measure(r.v.Size())
	}
	return fyne.NewSize(160, 120)
}

var (
	_ fyne.Widget        = (*Viewer)(nil)
	_ fyne.Draggable     = (*Viewer)(nil)
	_ fyne.Scrollable    = (*Viewer)(nil)
	_ fyne.Focusable     = (*Viewer)(nil)
	_ fyne.Tabbable      = (*Viewer)(nil)
	_ desktop.Mouseable  = (*Viewer)(nil)
	_ desktop.Hoverable  = (*Viewer)(nil)
	_ desktop.Cursorable = (*Viewer)(nil)
	_ desktop.Keyable    = (*Viewer)(nil)
)
