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
	"halocline/app/ui/files"
	"halocline/app/ui/journal"
	"halocline/app/ui/judge"
	"halocline/app/ui/look"
	"halocline/app/ui/panels"
	"halocline/app/ui/sheets"
	"halocline/app/ui/timebar"
	"halocline/app/ui/viewer"
	"halocline/app/view"
)

// A window joins the parts: what they show comes from the desk, what the user
// does goes to it.
type window struct {
	app     fyne.App
	win     fyne.Window
	desk    *desk.Desk
	journal *journal.Journal // nil: nobody follows
	trace   *journal.Trace   // nil: nobody follows

	viewer  *viewer.Viewer
	preview *watch.Preview

	mattes   *matteRow
	views    *viewRow
	judge    *judge.Judge
	status   *statusRow
	time     *timebar.Bar
	messages *messages
	menu     *menu
	files    *files.Files
	column   *panels.Column
	tools    map[desk.Step]viewer.Tool
	toolOf   desk.Step       // whose tool the viewer has
	over     *fyne.Container // on the frame: hints, legend, the card that gives reasons
	marks    overlays
	seams    seamMap // as drawn last
	body     *fyne.Container
	sheets   *sheets.Sheets
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
	w.journal, w.trace = journal.New(c.Journal, w.win.Canvas()), journal.NewTrace(c.Trace)
	w.build(c)
	return w
}

// Title is the program's name.
const Title = "Halocline"

func (w *window) build(c Config) {
	w.desk = desk.NewDesk(desk.Listener{
		Changed: w.display, Post: fyne.Do,
		Report: func(p desk.Problem) { w.messages.Report(p) },
		Did: func(label string) {
			w.journal.Tell("did %s", label)
		},
		Learned: w.learn,
		Note:    func(text string) { w.status.note(text) },
		Sought:  func() { w.time.Sought() },
	})
	w.viewer = viewer.New()
	w.sheets = sheets.New(w.desk, w.win, under{w})
	relay := func() { w.body.Refresh() }
	w.messages = newMessages(w.journal, w.sheets.OpenDetails, relay)
	w.menu = newMenu(w.desk, w.win.Canvas(), w.sheets, w.makeActions()) // first: hints name their keys
	w.preview = watch.NewPreview(w.viewer, func(frame int, err error) {
		fyne.Do(func() { w.cannotShow(frame, err) })
	})
	w.mattes, w.views = newMatteRow(w), newViewRow(w)
	w.status, w.judge = newStatusRow(w), judge.New(w.desk, beside{w})
	w.time = timebar.New(w.desk, timebar.Parts{
		Canvas: w.win.Canvas(), Preview: w.preview, Status: w.status, Menu: w.menu, Journal: w.journal, Ask: w.ask, Relay: relay,
		Passed: func() { w.views.frame.SetText(w.desk.FrameText()) },
	})
	w.files = files.New(w.desk, w.sheets, files.Parts{
		Kept: w.app.Preferences(), Status: w.status, Messages: w.messages, Menu: w.menu, Picture: w.viewer, Player: w.time.Player, Journal: w.journal, Sized: c.Sized,
	})
	w.column = panels.New(w.desk, partsForColumn(w))
	w.tools = map[desk.Step]viewer.Tool{desk.StepBase: newBaseTool(w), desk.StepPick: newDabTool(w), desk.StepMasks: newMaskTool(w)}
	w.toolOf = w.desk.Step
	w.viewer.SetTool(w.tools[w.toolOf])
	w.marks = newOverlays(w)
	w.over = container.NewStack(w.viewer, w.marks.object(), container.New(atTop{}, w.status.bar), w.messages.object())

	w.win.SetMainMenu(w.menu.main)
	left := container.NewBorder(w.views.object(), nil, nil, nil, container.New(overFoot{}, w.over, w.time.Object()))
	w.body = container.NewBorder(w.mattes.object(), w.status.object(), nil, nil, w.column.Beside(left))
	w.win.SetPadded(false)
	w.win.SetContent(fynetooltip.AddWindowToolTipLayer(container.NewStack(canvas.NewRectangle(look.Window), w.body), w.win.Canvas()))
	w.win.Resize(fyne.NewSize(1280, 800))
	w.listen()
	w.showNow() // nothing yet: what is to open may be no picture
	w.files.Start(c.Path)
}

// listen joins the window's own events.
func (w *window) listen() {
	ready := false
	w.viewer.Marks = w.drawMarks
	w.menu.escape, w.menu.other = w.escape, w.time.Typed
	w.win.Canvas().SetOnTypedKey(w.menu.typed)
	w.journal.OnFrame(w.maskTool().spots)
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
	w.viewer.OnShow = func() { w.time.Player.Follow(w.preview.Last.Load()) }
	w.viewer.OnShown = func() {
		s := w.preview.Last.Load()
		w.trace.Add(s)
		if s.Request.Frame == w.desk.Frame { // a picture of before may come late: it mends nothing
			w.messages.canShow()
		}
		w.status.showDetail(s)
		w.status.reading("")
		w.time.CanRead(s.Request.Frame)
		w.desk.Going = false
		w.marks.shown(s)
		if !ready {
			ready = true
			w.journal.Tell("ready")
		}
		w.journal.TellPlaces()
		w.journal.Tell("shown")
	}
	w.win.SetCloseIntercept(w.askToClose)
	w.win.SetOnDropped(func(_ fyne.Position, uris []fyne.URI) {
		if len(uris) > 0 {
			w.files.AskToOpen(uris[0].Path())
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
			w.journal.Tell("seam %.2f %.2f %.2f %.1f", s.Figures.Rim, s.Figures.Bleed, s.Figures.Misfit, s.Best)
		}
		w.journal.Tell("found")
	case desk.NewVerdict:
		w.judge.Display()
		w.menu.Display()
		w.time.ShowVerdict(w.desk.Verdict())
	case desk.NewReview:
		w.judge.Display()
		w.journal.Tell("reviewed")
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
	for _, p := range []interface{ display() }{w.mattes, w.views, w.status} {
		p.display()
	}
	w.time.Display()
	w.marks.display()
	w.judge.Display()
	w.column.Display()
	w.menu.Display()
	w.leaveHidden()
	if !w.desk.Dragging() { // else marks are drawn with the picture that is asked for
		w.viewer.Redraw()
	}
	w.journal.TellPlaces()
}

// ask asks for the picture that the viewer is to show.
func (w *window) ask(dragging bool) {
	d := w.desk
	s := d.Study()
	if s == nil {
		return
	}
	if dragging {
		w.time.Player.End() // what is changed is looked at on one frame
	}
	vp := w.viewer.Viewport()
	request := watch.Request{
		Renderer: d.Work.Renderer, Study: s, Frame: d.Frame, Vp: vp, Left: d.View, Right: d.View, Divider: -1,
		Beyond: d.ShowBeyond, Dragging: dragging, Asked: d.Moved, Kind: timebar.KindOf(d, dragging), Play: w.desk.Playing,
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

// cannotShow says why a frame is not shown.
func (w *window) cannotShow(frame int, err error) {
	w.time.CannotRead(frame)
	w.status.reading("")
	w.messages.cannotShow(err)
}

// askToClose ends the program, after asking about unsaved work.
func (w *window) askToClose() {
	w.files.AskBefore(func() {
		w.sheets.Close() // which ends what it has under way
		w.files.Leave()
		w.stopWorking()
		w.win.SetCloseIntercept(nil)
		w.win.Close()
	})
}

// stopWorking ends all that works in the background.
func (w *window) stopWorking() {
	w.preview.Jobs.Stop()
	w.desk.Stop()
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
