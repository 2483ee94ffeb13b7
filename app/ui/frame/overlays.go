package frame

import (
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/viewer"
	"halocline/app/view"
)

// Overlays are what lies on the frame besides its marks: the hint at the start,
// the legend of Reasons, the card that says why a pixel is in or out, a note
// where a matte is empty or full.
type overlays struct {
	desk    *desk.Desk
	viewer  *viewer.Viewer
	canvas  fyne.Canvas
	drawing func() bool // whether a mask is being drawn

	hint   *fyne.Container
	legend *legend
	card   *reasonCard
	note   *emptyNote
	banner *banner
	all    *fyne.Container

	hideHint bool
	asked    *desk.AskedPixel
	pinned   bool
	waiting  *time.Timer
	last     viewer.Pointer
}

// newOverlays are what lies on a viewer's frame. They ask whether a mask is being drawn,
// and begin to draw one.
func newOverlays(v *viewer.Viewer, pic picture, p Parts, drawing func() bool, newMask func(study.Kind)) *overlays {
	d := pic.desk
	o := &overlays{desk: d, viewer: v, canvas: p.Canvas, drawing: drawing, legend: newLegend(), note: newEmptyNote(d, drawing), banner: newBanner(d)}
	o.card = newReasonCard(pic, p.Keys, o.include, o.leaveOut)
	o.hint = newHint(newMask, o.endHint)
	o.hint.Hide()
	o.legend.all.Hide()
	o.card.all.Hide()
	o.note.all.Hide()
	o.banner.all.Hide()
	o.all = container.New(overLayout{}, o.legend.all, o.hint, o.note.all, o.card.all, o.banner.all)
	return o
}

// overLayout puts the banner at the upper left, legend and note at the lower
// left, the hint along the foot.
// The card is placed by hand.
type overLayout struct{}

func (overLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

func (overLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	legend, hint, note, banner := o[0], o[1], o[2], o[4]
	size := banner.MinSize()
	banner.Resize(fyne.NewSize(min(size.Width, max(s.Width-32, 0)), size.Height))
	banner.Move(fyne.NewPos(16, 16))
	foot := s.Height - 16
	if hint.Visible() {
		size := hint.MinSize()
		hint.Resize(fyne.NewSize(max(min(s.Width-32, 980), 0), size.Height))
		hint.Move(fyne.NewPos(16, foot-size.Height))
		foot -= size.Height + 8
	}
	for _, c := range []fyne.CanvasObject{legend, note} {
		if c.Visible() {
			size := c.MinSize()
			c.Resize(fyne.NewSize(min(size.Width, max(s.Width-32, 0)), size.Height))
			c.Move(fyne.NewPos(16, foot-size.Height))
			foot -= size.Height + 8
		}
	}
}

// cardOn puts content on a dark ground over the frame.
func cardOn(content fyne.CanvasObject) *fyne.Container {
	back := canvas.NewRectangle(look.Well)
	back.StrokeColor, back.StrokeWidth, back.CornerRadius = look.Chosen, 1, 4
	return container.NewStack(back, look.Pad(16, 10, 16, 10, content))
}

// newHint says what to do first on the sample.
func newHint(newMask func(study.Kind), hideIt func()) *fyne.Container {
	text := look.VBox(2,
		look.NewTightLabel("The skin is nearly all in, but lit sand comes along.", look.Style{Size: look.BodySize, Colour: look.White, Bold: true}),
		look.NewTightLabel("Drop a dab on bright sand (right button), or draw a keep mask around arms, face and legs. Unhatched = in.", look.Style{Size: look.SmallSize, Colour: look.Second}))
	draw := look.NewButton("Draw a keep mask", func() { newMask(study.Keep) })
	hide := newHideButton(hideIt)
	return cardOn(container.NewBorder(nil, nil, nil, container.NewCenter(look.HBox(8, draw, hide)), text))
}

// newHideButton is a button that hides a hint.
func newHideButton(hideIt func()) *look.Button {
	b := look.NewButton("Hide hint", hideIt)
	b.Kind = look.Quiet
	return b
}

func (o *overlays) showHint() {
	o.hideHint, o.note.hidden = false, 0
	o.desk.Refresh()
}

func (o *overlays) endHint() {
	o.hideHint = true
	o.desk.Refresh()
}

// display shows what the state of the desk asks for.
func (o *overlays) display() {
	d := o.desk
	look.Show(o.hint, d.Sample && !o.hideHint && !d.Dragging() && !o.drawing() && d.View != view.Reasons && len(d.Session.UndoLabels()) == 0)
	look.Show(o.legend.all, d.View == view.Reasons && d.Matte() != nil)
	o.note.display()
	o.banner.display()
	if d.View != view.Reasons {
		o.forget()
	} else if o.asked != nil {
		o.ask(o.asked.X, o.asked.Y)
	}
	o.all.Layout.Layout(o.all.Objects, o.all.Size())
}

// shown takes what is said of the picture that is on the screen.
func (o *overlays) shown(s *watch.Showing) {
	if s != nil && s.Layers.Reasons != nil {
		o.legend.set(o.desk.Matte(), s.Shares, s.Whole)
		o.all.Layout.Layout(o.all.Objects, o.all.Size()) // it may have more rows now, or fewer
	}
}

// askDelay is how long the pointer must rest on a pixel to ask about it.
const askDelay = 300 * time.Millisecond

// point follows the pointer: where it rests in Reasons, the pixel is asked
// about.
func (o *overlays) point(p viewer.Pointer, inside bool) {
	o.last = p
	if o.waiting != nil {
		o.waiting.Stop()
	}
	if o.desk.View != view.Reasons || o.pinned {
		return
	}
	if o.asked != nil && (!inside || math.Abs(p.X-float64(o.asked.X)-0.5)+math.Abs(p.Y-float64(o.asked.Y)-0.5) > 3+6/o.viewer.Viewport().Zoom) {
		o.forget()
	}
	if !inside {
		return
	}
	o.waiting = time.AfterFunc(askDelay, func() {
		fyne.Do(func() {
			if o.last == p && o.desk.View == view.Reasons && !o.pinned {
				o.ask(int(math.Floor(p.X)), int(math.Floor(p.Y)))
			}
		})
	})
}

// pin asks about a pixel and keeps the answer until another press.
func (o *overlays) pin(p viewer.Pointer) {
	o.ask(int(math.Floor(p.X)), int(math.Floor(p.Y)))
	o.pinned = o.asked != nil
}

func (o *overlays) forget() {
	o.asked, o.pinned = nil, false
	o.card.all.Hide()
}

func (o *overlays) include()  { o.desk.Include(*o.asked) }
func (o *overlays) leaveOut() { o.desk.LeaveOut(*o.asked) }

// ask shows why a pixel is in or out.
func (o *overlays) ask(x, y int) {
	a, ok := o.desk.AskAbout(x, y)
	if !ok {
		o.forget()
		return
	}
	o.asked = &a
	o.card.show(o.asked)
	o.viewer.Redraw()
	vp := o.viewer.Viewport()
	sx, sy := vp.ToScreen(float64(x)+0.5, float64(y)+0.5)
	scale := o.canvas.Scale()
	o.card.place(fyne.NewPos(float32(sx)/scale, float32(sy)/scale), o.all.Size())
}
