package ui

import (
	"io"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ui/frame"
	"halocline/app/ui/judge"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
	"halocline/app/ui/status"
	"halocline/app/ui/viewer"
	"halocline/app/view"
)

// A panel is the controls of one step.
type panel interface {
	object() fyne.CanvasObject
	display() // puts the desk's state on the controls
}

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

	mattes      *matteRow
	work        *workRow
	list        *stepList
	judge       *judge.Judge
	status      *status.Row
	time        *timeArea
	bands       map[look.BandKind]*look.Band
	panels      map[desk.Step]panel
	keyControls []*keyControl // of all values that can change over time
	column      *column
	frame       *frame.Frame
	body        *fyne.Container
	sheets      *sheets.Sheets

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
		Note:    func(text string) { w.status.Note(text) },
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
	w.mattes, w.work, w.list = newMatteRow(w), newWorkRow(w), newStepList(w)
	w.status, w.judge = status.New(w.desk), judge.New(w.desk, w)
	w.time = newTimeArea(w)
	w.panels = map[desk.Step]panel{
		desk.StepBase: newBasePanel(w), desk.StepPick: newPickPanel(w), desk.StepMasks: newMasksPanel(w), desk.StepEdge: newEdgePanel(w), desk.StepTrial: newTrialPanel(w),
	}
	w.frame = frame.New(w.desk, w.viewer, frame.Parts{Preview: w.preview, Canvas: w.win.Canvas(), Status: w.status, Keys: w, Dabs: w.pickPanel()})
	w.status.Follow(w.frame)
	w.column = newColumn(w)
	over := container.NewStack(w.frame.Object(), container.New(atTop{}, w.status.Bar()),
		container.New(atTop{}, w.bands[look.Failed], w.bands[look.Caution]))

	w.menus = w.makeMenus()
	w.win.SetMainMenu(w.menus)
	left := container.NewBorder(w.frame.Row(), nil, nil, nil, container.New(overFoot{}, over, w.time.object()))
	w.body = container.NewBorder(w.mattes.object(), w.status.Object(), nil, nil, container.New(&splitLayout{w.column}, left, w.column.object(), w.column.edge))
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
	w.win.Canvas().SetOnTypedKey(w.typed)
	w.listenKeys()
	w.viewer.OnViewport = func(view.Viewport) {
		w.desk.WantReview = w.win.Canvas().Size().Height >= judge.TallFrom
		w.frame.Looked()
	}
	w.viewer.OnShow = func() { w.playShown(w.preview.Last.Load()) }
	w.viewer.OnShown = func() {
		s := w.preview.Last.Load()
		w.trace.add(s)
		// A picture of before may come late: it mends nothing.
		if b := w.bands[look.Failed]; s.Request.Frame == w.desk.Frame && b.Visible() && b.What() == unshown {
			b.Close()
		}
		w.status.ShowDetail(s)
		w.status.Reading("")
		w.time.canRead(s.Request.Frame)
		w.desk.Going = false
		w.frame.Shown(s)
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
	if w.desk.Dragging() {
		w.endPlay() // what is changed is looked at on one frame
	}
	w.frame.Ask(w.desk.Dragging())
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
		w.frame.Previewed()
	}
}

// showNow puts the state on all parts.
func (w *window) showNow() {
	w.frame.Settle() // first: others say what a tool does
	for _, p := range []interface{ display() }{w.mattes, w.work, w.list, w.column, w.time} {
		p.display()
	}
	w.status.Display()
	w.frame.Display()
	w.judge.Display()
	w.panels[w.desk.Step].display()
	w.column.settle()
	w.showMenus()
	w.leaveHidden()
	w.TellPlaces()
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
	w.status.Reading("")
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
