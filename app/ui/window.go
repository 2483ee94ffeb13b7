package ui

import (
	"fmt"
	"io"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ui/judge"
	"halocline/app/ui/look"
	"halocline/app/ui/panels"
	"halocline/app/ui/sheets"
	"halocline/app/ui/viewer"
	"halocline/app/view"
)

// A window joins the parts: what they show comes from the desk, what the user
// does goes to it.
type window struct {
	app   fyne.App
	win   fyne.Window
	desk  *desk.Desk
	trace *trace

	journal *journal // nil: nobody follows
	sized   func(pixels int)

	viewer  *viewer.Viewer
	preview *watch.Preview

	mattes *matteRow
	views  *viewRow
	judge  *judge.Judge
	status *statusRow
	time   *timeArea
	bands  map[look.BandKind]*look.Band
	column *panels.Column
	tools  map[desk.Step]viewer.Tool
	toolOf desk.Step       // whose tool the viewer has
	over   *fyne.Container // on the frame: hints, legend, the card that gives reasons
	marks  overlays
	seams  seamMap // as drawn last
	body   *fyne.Container
	sheets *sheets.Sheets

	actions []*action
	menus   *fyne.MainMenu
	items   map[*action]*fyne.MenuItem
	recent  *fyne.MenuItem

	pace pace
}

// A Config says what a window begins with.
type Config struct {
	Path    string           // to open; "" for the embedded sample
	Trace   io.Writer        // gets a line for each picture of a drag, of another frame, of playing; nil for none
	Sized   func(pixels int) // told of each frame size that is opened; may be nil
	Journal io.Writer        // gets a line for each thing that happens; nil for none
}

// New builds the program's window in an app. Show it to begin.
func New(app fyne.App, c Config) fyne.Window { return newWindow(app, c).win }

func newWindow(app fyne.App, c Config) *window {
	w := &window{
		app: app, win: app.NewWindow(Title),
	}
	w.sized = c.Sized
	if c.Journal != nil {
		w.journal = &journal{w: c.Journal}
	}
	if c.Trace != nil {
		w.trace = newTrace(c.Trace)
	}
	w.build(c)
	return w
}

// Title is the program's name.
const Title = "Halocline"

func (w *window) build(c Config) {
	w.desk = desk.NewDesk(desk.Listener{
		Changed: w.display, Report: w.report, Post: fyne.Do,
		Did: func(label string) {
			w.journal.tell("did %s", label)
		},
		Learned: w.learn,
		Note:    func(text string) { w.status.note(text) },
		Sought:  w.sought,
	})
	w.viewer = viewer.New()
	w.sheets = sheets.New(w.desk, w.win, w)
	w.actions = w.makeActions() // first: hints name their keys
	w.preview = watch.NewPreview(w.viewer, func(frame int, err error) {
		fyne.Do(func() { w.reportUnshown(frame, err) })
	})
	w.bands = map[look.BandKind]*look.Band{}
	for _, k := range []look.BandKind{look.Failed, look.Caution} {
		w.bands[k] = look.NewBand(k)
		w.bands[k].OnClosed(func() { w.body.Refresh() })
	}
	w.mattes, w.views = newMatteRow(w), newViewRow(w)
	w.status, w.judge = newStatusRow(w), judge.New(w.desk, w)
	w.time = newTimeArea(w)
	w.column = panels.New(w.desk, partsForColumn(w))
	w.tools = map[desk.Step]viewer.Tool{desk.StepBase: newBaseTool(w), desk.StepPick: newDabTool(w), desk.StepMasks: newMaskTool(w)}
	w.toolOf = w.desk.Step
	w.viewer.SetTool(w.tools[w.toolOf])
	w.marks = newOverlays(w)
	w.over = container.NewStack(w.viewer, w.marks.object(), container.New(atTop{}, w.status.bar),
		container.New(atTop{}, w.bands[look.Failed], w.bands[look.Caution]))

	w.menus = w.makeMenus()
	w.win.SetMainMenu(w.menus)
	left := container.NewBorder(w.views.object(), nil, nil, nil, container.New(overFoot{}, w.over, w.time.object()))
	w.body = container.NewBorder(w.mattes.object(), w.status.object(), nil, nil, w.column.Beside(left))
	w.win.SetPadded(false)
	w.win.SetContent(fynetooltip.AddWindowToolTipLayer(container.NewStack(canvas.NewRectangle(look.Window), w.body), w.win.Canvas()))
	w.win.Resize(fyne.NewSize(1280, 800))
	w.listen()
	w.showNow() // nothing yet: what is to open may be no picture
	w.start(c.Path)
}

// atTop lays messages over the head of the view, so that the picture under the
// pointer stays where it is when they come and go.
type atTop struct{}

func (atTop) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

func (atTop) Layout(all []fyne.CanvasObject, s fyne.Size) {
	for _, o := range all {
		o.Resize(fyne.NewSize(s.Width, o.MinSize().Height))
	}
}

// listen joins the window's own events.
func (w *window) listen() {
	ready := false
	w.viewer.Marks = w.drawMarks
	w.win.Canvas().SetOnTypedKey(w.typed)
	w.listenKeys()
	w.viewer.OnViewport = func(vp view.Viewport) {
		w.views.showZoom(vp)
		w.desk.WantReview = w.win.Canvas().Size().Height >= judge.TallFrom
		w.desk.Moved = time.Now()
		w.ask(false)
		w.desk.Check() // after the hand has come to rest
	}
	w.viewer.OnPointer = func(p viewer.Pointer, inside bool) {
		w.status.point(p, inside)
		w.marks.point(p, inside)
	}
	w.viewer.OnDivider = func(share float64) {
		w.desk.Split = share
		w.desk.Moved = time.Now()
		w.ask(false)
	}
	w.viewer.OnShow = func() { w.playShown(w.preview.Last.Load()) }
	w.viewer.OnShown = func() {
		s := w.preview.Last.Load()
		w.trace.add(s)
		// A picture of before may come late: it mends nothing.
		if b := w.bands[look.Failed]; s.Request.Frame == w.desk.Frame && b.Visible() && b.What() == unshown {
			b.Close()
		}
		w.status.showDetail(s)
		w.status.reading("")
		w.time.canRead(s.Request.Frame)
		w.desk.Going = false
		w.marks.shown(s)
		if !ready {
			ready = true
			w.journal.tell("ready")
		}
		w.TellPlaces()
		w.journal.tell("shown")
	}
	w.win.SetCloseIntercept(w.askToClose)
	w.win.SetOnDropped(func(_ fyne.Position, uris []fyne.URI) {
		if len(uris) > 0 {
			w.askToOpen(uris[0].Path())
		}
	})
}

// LookAt looks at another part of the frame.
func (w *window) LookAt(vp view.Viewport) {
	w.viewer.SetViewport(vp)
	w.viewer.OnViewport(w.viewer.Viewport())
}

// display shows the state of the desk everywhere, and asks for what it shows
// to be rendered.
func (w *window) display() {
	w.ask(w.desk.Dragging())
	w.showNow()
	w.win.SetTitle(w.title())
}

// learn shows what has become known of the chosen matte.
func (w *window) learn(n desk.News) {
	switch n {
	case desk.NewFindings:
		w.showNow()
		if s := w.desk.Seam(); s != nil && s.Why == "" {
			w.journal.tell("seam %.2f %.2f %.2f %.1f", s.Figures.Rim, s.Figures.Bleed, s.Figures.Misfit, s.Best)
		}
		w.journal.tell("found")
	case desk.NewVerdict:
		w.showVerdict(w.desk.Verdict())
	case desk.NewReview:
		w.judge.Display()
		w.journal.tell("reviewed")
	case desk.NewPreview:
		w.tools[desk.StepPick].(*dabTool).previewed()
	}
}

// showNow puts the state on all parts.
func (w *window) showNow() {
	if w.desk.Step != w.toolOf {
		w.toolOf = w.desk.Step
		w.viewer.SetTool(w.tools[w.desk.Step])
	}
	w.maskTool().settle()
	w.tools[desk.StepPick].(*dabTool).settle()
	for _, p := range []interface{ display() }{w.mattes, w.views, w.status, w.time, &w.marks} {
		p.display()
	}
	w.judge.Display()
	w.column.Display()
	w.showMenus()
	w.leaveHidden()
	if !w.desk.Dragging() { // else marks are drawn with the picture that is asked for
		w.viewer.Redraw()
	}
	w.TellPlaces()
}

// ask asks for the picture that the viewer is to show.
func (w *window) ask(dragging bool) {
	d := w.desk
	s := d.Study()
	if s == nil {
		return
	}
	if dragging {
		w.endPlay() // what is changed is looked at on one frame
	}
	vp := w.viewer.Viewport()
	request := watch.Request{
		Renderer: d.Work.Renderer, Study: s, Frame: d.Frame, Vp: vp, Left: d.View, Right: d.View, Divider: -1,
		Beyond: d.ShowBeyond, Dragging: dragging, Asked: d.Moved, Kind: w.kindOf(dragging), Play: w.desk.Playing,
	}
	if d.Compare {
		request.Left, request.Divider = d.Other, d.Split*float64(vp.VW)
		w.viewer.SetDivider(d.Split)
		w.viewer.SetNames(d.Other.String(), d.View.String())
	} else {
		w.viewer.SetDivider(-1)
	}
	if m := d.Matte(); m != nil {
		request.Settings = &m.Settings
	} else { // the other views are of a matte
		request.Left, request.Right = view.Frame, view.Frame
	}
	request.Hidden = w.desk.HiddenMattes()
	if d.BypassTrial {
		request.Left, request.Right = bypassed(request.Left), bypassed(request.Right)
	}
	w.preview.Jobs.Ask(request)
}

// weightAt is the weight of a pixel in the chosen matte, if that is known.
func (w *window) weightAt(x, y int) (float64, bool) {
	if w.desk.Fresh() && w.desk.Found.Matte != nil {
		return float64(w.desk.Found.Matte.Row(y)[x]), true
	}
	s := w.preview.Last.Load()
	if s == nil || s.Layers.Matte == nil {
		return 0, false
	}
	l := s.Layers
	px, py := (x-l.Region.Min.X)/l.Factor, (y-l.Region.Min.Y)/l.Factor
	if px < 0 || py < 0 || px >= l.Matte.W || py >= l.Matte.H {
		return 0, false
	}
	return float64(l.Matte.Row(py)[px]), true
}

// report shows a problem in the band under the view row.
func (w *window) report(p desk.Problem) {
	w.journal.tell("problem %s", p.What)
	if p.Err == nil {
		w.say(look.Caution, p.What, p.ToDo, nil)
		return
	}
	w.say(look.Failed, p.What, p.ToDo, func() { w.sheets.OpenDetails(p) })
}

// unshown is what the band says while the viewer has nothing to show.
const unshown = "The frame cannot be shown"

// reportUnshown says once why the frame is not shown: the band changes the
// viewer's size, which asks for the frame again.
func (w *window) reportUnshown(frame int, err error) {
	w.time.cannotRead(frame)
	w.status.reading("")
	if b := w.bands[look.Failed]; !b.Visible() || b.What() != unshown {
		w.report(desk.Problem{What: unshown, ToDo: "Put the file back, or open another study.", Err: err})
	}
}

// say shows a message in place of any other.
func (w *window) say(kind look.BandKind, what, todo string, details func(), buttons ...*look.Button) {
	w.hideBands()
	b := w.bands[kind]
	b.SetButtons(buttons...)
	b.OnDetails(details)
	b.Say(what, todo)
	w.body.Refresh()
}

func (w *window) hideBands() {
	for _, b := range w.bands {
		if b.Visible() {
			b.Close()
		}
	}
}

// saying reports whether a message is shown.
func (w *window) saying() bool {
	return w.bands[look.Failed].Visible() || w.bands[look.Caution].Visible()
}

// title is the window's title: what is open, and whether it is saved.
func (w *window) title() string {
	name := w.desk.StudyName()
	if name == "" {
		return Title
	}
	if w.desk.Session.Dirty() {
		name = "● " + name
	}
	return name + " – " + Title
}

// pressHelp says what a press on the frame would do.
func (w *window) pressHelp() string {
	if w.desk.Session == nil {
		return "open a picture to begin"
	}
	switch w.desk.Step {
	case desk.StepBase:
		if w.desk.Press == desk.PressWater {
			return "press on open water to sample it"
		}
		return "press on something grey to sample it"
	case desk.StepPick:
		if w.desk.View == view.Reasons {
			return "rest on a pixel to ask why; a press pins the answer"
		}
		if w.tools[desk.StepPick].(*dabTool).hover != 0 {
			return "Delete removes the dab under the pointer"
		}
		return "press: " + w.desk.DabKind.String() + " dab. Right button: the other kind. Wheel while pressed: its size"
	case desk.StepMasks:
		if w.drawing() {
			return "press for each vertex; Enter or the first vertex closes. Right button: one back. Esc: none"
		}
		if w.desk.MakesKey() {
			return fmt.Sprintf("a move makes a key at frame %d. Double-click a line: new vertex", w.desk.Frame)
		}
		return "drag a vertex, line, handle or the box. Double-click a line: new vertex"
	case desk.StepTrial:
		if w.desk.BypassTrial {
			return "without the trial, as long as " + keyName(bypassKey) + " is held"
		}
		return "hold " + keyName(bypassKey) + " to see the frame without the trial"
	}
	return "drag to pan, wheel to zoom"
}
