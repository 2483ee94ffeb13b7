package frame

import (
	"image"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/handles"
	"halocline/app/ui/viewer"
	"halocline/app/view"
	"halocline/mask"
	"halocline/selection"
)

// Status says what is under the pointer, and what a press would do.
type Status interface {
	Point(x, y float64, inside bool) // in source pixels; inside: over the picture
	Display()                        // what a press would do has changed
}

// Keys knows the keys of actions.
type Keys interface {
	WithKey(hint, action string) string // a hint that ends with the action's key
}

// Dabs shows colours in the field.
type Dabs interface {
	PreviewDab(dab *selection.Dab, would *selection.Pick) // a pressed dab and the pick as it would become; nil ends that
	HoverValue(v *selection.Point)                        // what is under the pointer; nil for nothing
}

// Parts are what a frame works with besides the desk and its viewer.
type Parts struct {
	Preview *watch.Preview // makes the viewer's pictures
	Canvas  fyne.Canvas    // the window's
	Status  Status
	Keys    Keys
}

// A Frame shows the frame at hand and lets the user act on it.
type Frame struct {
	desk    *desk.Desk
	viewer  *viewer.Viewer
	canvas  fyne.Canvas
	status  Status
	picture picture

	row    *viewRow
	dab    *dabTool
	mask   *maskTool
	tools  map[desk.Step]tool
	toolOf desk.Step // whose tool the viewer has
	over   *overlays
	seam   seamMap // as drawn last
	all    fyne.CanvasObject
}

// A tool acts on the frame in one step.
type tool interface {
	viewer.Tool
	help() string // what a press would do
}

// New is a frame of what is on the desk; Settle and Display show it, once ShowDabsIn has
// been called. It listens to the viewer's pointer and divider, and draws its marks.
func New(d *desk.Desk, v *viewer.Viewer, p Parts) *Frame {
	f := &Frame{desk: d, viewer: v, canvas: p.Canvas, status: p.Status, picture: picture{d, p.Preview}}
	f.row = newViewRow(d, v, p.Keys)
	f.mask = newMaskTool(v, p.Canvas, f.picture)
	f.over = newOverlays(v, f.picture, p, f.mask.drawing, f.NewMask)
	c := cursor{viewer: v, pointed: f.pointed}
	f.dab = newDabTool(f.picture, c, p, f.over)
	f.tools = map[desk.Step]tool{desk.StepBase: newBaseTool(d, c), desk.StepPick: f.dab, desk.StepMasks: f.mask}
	f.takeTool()
	v.Marks, v.OnPointer, v.OnDivider = f.drawMarks, f.pointed, f.divided
	f.all = container.NewStack(v, f.over.all)
	return f
}

// ShowDabsIn says who shows the colours of pressed dabs and those under the pointer.
func (f *Frame) ShowDabsIn(d Dabs) { f.dab.dabs = d }

// Object is the viewer with what lies over it.
func (f *Frame) Object() fyne.CanvasObject { return f.all }

// Row is the row that names the views.
func (f *Frame) Row() fyne.CanvasObject { return f.row.all }

// Settle takes up the tool of the desk's step, and gives up what was begun on a matte
// that is no longer the chosen one. What shows the tools' state is displayed after it.
func (f *Frame) Settle() {
	if f.desk.Step != f.toolOf {
		f.takeTool()
	}
	f.mask.settle()
	f.dab.settle()
}

// takeTool gives the viewer the tool of the desk's step.
func (f *Frame) takeTool() {
	f.toolOf = f.desk.Step
	f.viewer.SetTool(f.tools[f.toolOf])
}

// Display shows the state of the desk.
func (f *Frame) Display() {
	f.row.display()
	f.over.display()
	if !f.desk.Dragging() { // else marks are drawn with the picture that is asked for
		f.viewer.Redraw()
	}
}

// Shown takes what is said of the picture that is on the screen now.
func (f *Frame) Shown(s *watch.Showing) { f.over.shown(s) }

// ShowNumber says which frame of a clip is shown.
func (f *Frame) ShowNumber() { f.row.frame.SetText(f.desk.FrameText()) }

// ShowHint says again what to do first on the sample.
func (f *Frame) ShowHint() { f.over.showHint() }

// Looked follows the viewer to another part of the frame.
func (f *Frame) Looked() {
	f.row.showZoom(f.viewer.Viewport())
	f.desk.Moved = time.Now()
	f.Ask(false)
	f.desk.Check() // after the hand has come to rest
}

// divided follows Compare's divider to a share of the view's width.
func (f *Frame) divided(share float64) {
	f.desk.Split = share
	f.desk.Moved = time.Now()
	f.Ask(false)
}

// pointed follows the pointer.
func (f *Frame) pointed(p viewer.Pointer, inside bool) {
	f.status.Point(p.X, p.Y, inside)
	f.over.point(p, inside)
}

// drawMarks draws what lies on the frame below the tool's own marks.
func (f *Frame) drawMarks(dst *image.RGBA, vp view.Viewport, scale float64) {
	f.seam.drawSeam(dst, f.desk, vp, scale)
	drawMisclassified(dst, f.desk, vp, scale)
}

// WeightAt is the weight of a pixel in the chosen matte, if that is known.
func (f *Frame) WeightAt(x, y int) (weight float64, known bool) { return f.picture.weightAt(x, y) }

// Previewed shows what has become known of the pick that a pressed dab would make.
func (f *Frame) Previewed() { f.dab.previewed() }

// Outlined shows what has become known of the outlines of masks.
func (f *Frame) Outlined() {
	f.Explained() // masks may weigh something else there
	f.viewer.Redraw()
}

// Explained shows what has become known of the pixel that is asked about.
func (f *Frame) Explained() {
	if a := f.over.asked; a != nil {
		f.over.ask(a.X, a.Y)
	}
}

// Asked is the pixel of Reasons that is asked about; nil for none.
func (f *Frame) Asked() *desk.AskedPixel { return f.over.asked }

// IncludeAsked changes the pick to take in the pixel that is asked about, which there is.
func (f *Frame) IncludeAsked() { f.over.include() }

// LeaveOutAsked changes the pick to leave out the pixel that is asked about, which there is.
func (f *Frame) LeaveOutAsked() { f.over.leaveOut() }

// ForgetAsked asks about no pixel any more, and reports whether one was asked about.
func (f *Frame) ForgetAsked() bool {
	if f.over.asked == nil {
		return false
	}
	f.over.forget()
	f.viewer.Redraw()
	return true
}

// NewMask opens Masks and begins to draw one.
func (f *Frame) NewMask(k study.Kind) {
	if f.desk.Matte() == nil {
		f.desk.Report(desk.Problem{What: "There is no matte to mask", ToDo: "Press “New matte” first."})
		return
	}
	f.desk.OpenStep(desk.StepMasks)
	f.mask.begin(k)
	f.desk.Refresh()
	f.canvas.Focus(f.viewer)
}

// DrawAnew begins to draw the chosen mask's outline anew on the frame shown.
func (f *Frame) DrawAnew() {
	if !f.desk.CanDrawAnew() {
		return
	}
	f.desk.OpenStep(desk.StepMasks)
	f.mask.beginAnew()
	f.desk.Refresh()
	f.canvas.Focus(f.viewer)
}

// DrawsAnew reports whether an outline is being drawn anew.
func (f *Frame) DrawsAnew() bool { return f.mask.drawing() && f.mask.anew != 0 }

// Drawing reports whether a mask is being drawn.
func (f *Frame) Drawing() bool { return f.mask.drawing() }

// Draws reports whether a new mask of a kind is being drawn.
func (f *Frame) Draws(k study.Kind) bool {
	return f.mask.drawing() && f.mask.kind == k && f.mask.anew == 0
}

// InsertVertex puts a vertex amid the line that follows the one that was chosen last.
func (f *Frame) InsertVertex() { f.mask.insertVertex() }

// DeleteVertices takes the chosen vertices away.
func (f *Frame) DeleteVertices() { f.mask.deleteVertices() }

// LeaveVertex chooses no vertex.
func (f *Frame) LeaveVertex() { f.mask.chosen.only(-1) }

// VertexText says which of a mask's n vertices is chosen.
func (f *Frame) VertexText(n int) string { return f.mask.vertexText(n) }

// MaskShape is the chosen mask's on the frame that is shown, if one is chosen.
func (f *Frame) MaskShape() (s mask.Shape, ok bool) { return f.mask.shape() }

// MaskHandles are those of the chosen mask; nil where none is chosen.
func (f *Frame) MaskHandles() *handles.Handles { return f.mask.handles() }
