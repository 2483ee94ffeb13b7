package ui

import (
	"io"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ui/files"
	"halocline/app/ui/frame"
	"halocline/app/ui/journal"
	"halocline/app/ui/judge"
	"halocline/app/ui/look"
	"halocline/app/ui/panels"
	"halocline/app/ui/sheets"
	"halocline/app/ui/status"
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
	frame    *frame.Frame
	time     *timebar.Bar
	column   *panels.Column
	judge    *judge.Judge
	status   *status.Row
	messages *messages
	menu     *menu
	files    *files.Files
	sheets   *sheets.Sheets
	body     *fyne.Container
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
		Note:    func(text string) { w.status.Note(text) },
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
	w.status, w.judge = status.New(w.desk), judge.New(w.desk, beside{w})
	w.frame = frame.New(w.desk, w.viewer, frame.Parts{Preview: w.preview, Canvas: w.win.Canvas(), Status: w.status, Keys: w.menu})
	w.status.Follow(w.frame)
	w.time = timebar.New(w.desk, timebar.Parts{
		Canvas: w.win.Canvas(), Preview: w.preview, Status: w.status, Menu: w.menu, Journal: w.journal, Ask: w.ask, Relay: relay, Passed: w.frame.ShowNumber,
	})
	w.files = files.New(w.desk, w.sheets, files.Parts{
		Kept: w.app.Preferences(), Status: w.status, Messages: w.messages, Menu: w.menu, Picture: w.viewer, Player: w.time.Player, Journal: w.journal, Sized: c.Sized,
	})
	w.mattes = newMatteRow(w.desk, w.menu, w.renameMatte, w.openProofs)
	w.column = panels.New(w.desk, panels.Parts{
		Host: under{w}, Judge: w.judge.Object(), Keys: w.menu, Status: w.status, Masks: w.frame, Picture: w.preview,
		Asks: panels.Asks{OpenFile: w.files.ChooseToOpen, RenameMask: w.renameMask, JoinMatte: w.askMatteToJoin, SpareKeys: w.askSpareKeys, ReadCDL: w.files.ChooseCDL, WriteCDL: w.files.WriteCDL},
	})
	w.frame.ShowDabsIn(w.column)
	over := container.NewStack(w.frame.Object(), container.New(atTop{}, w.status.Bar()), w.messages.object())

	w.win.SetMainMenu(w.menu.main)
	left := container.NewBorder(w.frame.Row(), nil, nil, nil, container.New(overFoot{}, over, w.time.Object()))
	w.body = container.NewBorder(w.mattes.object(), w.status.Object(), nil, nil, w.column.Beside(left))
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
	w.menu.escape, w.menu.other = w.escape, w.time.Typed
	w.win.Canvas().SetOnTypedKey(w.menu.typed)
	w.journal.OnFrame(func() []journal.Spot { return maskSpots(w.desk, w.viewer, w.frame) })
	w.listenKeys()
	w.viewer.OnViewport = func(view.Viewport) {
		w.desk.WantReview = w.win.Canvas().Size().Height >= look.TallFrom
		w.frame.Looked()
	}
	w.viewer.OnShow = func() { w.time.Player.Follow(w.preview.Last.Load()) }
	w.viewer.OnShown = func() {
		s := w.preview.Last.Load()
		w.trace.Add(s)
		if s.Request.Frame == w.desk.Frame { // a picture of before may come late: it mends nothing
			w.messages.canShow()
		}
		w.status.ShowDetail(s)
		w.status.Reading("")
		w.time.CanRead(s.Request.Frame)
		w.desk.Going = false
		w.frame.Shown(s)
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
		w.time.ShowSure()
	case desk.NewReview:
		w.judge.Display()
		w.journal.Tell("reviewed")
	case desk.NewPreview:
		w.frame.Previewed()
	case desk.NewEdgeShare:
		w.judge.Display()
	case desk.NewCause:
		w.frame.Explained()
	case desk.NewOutlines:
		w.frame.Outlined()
		w.judge.Display()
		w.column.Display()
		w.time.ShowSure()
		w.status.Display()
	case desk.NewProgress:
		w.status.Display()
	case desk.NewSpareKeys:
		w.column.Display()
		w.menu.Display()
	}
}

// showNow puts the state on all parts.
func (w *window) showNow() {
	w.frame.Settle() // first: others say what a tool does
	w.mattes.display()
	w.status.Display()
	w.time.Display()
	w.frame.Display()
	w.judge.Display()
	w.column.Display()
	w.menu.Display()
	w.leaveHidden()
	w.journal.TellPlaces()
}

// ask asks for the picture that the viewer is to show. What is changed is looked at on
// one frame.
func (w *window) ask(dragging bool) {
	if dragging {
		w.time.Player.End()
	}
	w.frame.Ask(dragging)
}

// cannotShow says why a frame is not shown.
func (w *window) cannotShow(frame int, err error) {
	w.time.CannotRead(frame)
	w.status.Reading("")
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
	if w.desk.Unsaved() {
		name = "● " + name
	}
	return name + " – " + Title
}
