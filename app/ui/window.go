package ui

import (
	"context"
	"fmt"
	"io"
	"reflect"
	"slices"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/viewer"
	"halocline/app/view"
	"halocline/colour"
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
	desk  *Desk
	trace *trace

	journal *journal // nil: nobody follows
	sized   func(pixels int)

	viewer   *viewer.Viewer
	preview  *preview
	assessor *assessor
	found    findings
	checker  *checker
	verdict  verdict // on the chosen matte over the clip
	reviewer *reviewer
	reviewed review        // of the chosen matte against its last proof
	gains    map[int]*gain // by matte

	mattes        *matteRow
	views         *viewRow
	work          *workRow
	list          *stepList
	judge         *judge
	status        *statusRow
	time          *timeArea
	bands         map[look.BandKind]*look.Band
	panels        map[step]panel
	keyControls   []*keyControl // of all values that can change over time
	column        *column
	tools         map[step]viewer.Tool
	toolOf        step            // whose tool the viewer has
	over          *fyne.Container // on the frame: hints, legend, the card that gives reasons
	marks         overlays
	seams         seamMap       // as drawn last
	misclassified misclassified // as worked out last
	body          *fyne.Container
	sheet         *sheet             // open over the window; nil for none
	proofs        *proofSheet        // that sheet, where it is one of proofs
	chooser       *dialog.FileDialog // over both; nil for none

	actions []*action
	menus   *fyne.MainMenu
	items   map[*action]*fyne.MenuItem
	recent  *fyne.MenuItem

	hidden       map[int]bool       // mattes whose outlines are not drawn and whose trials do not grade
	fitBase      map[int]study.Base // by matte: the base its pick was set under
	picks        map[int]study.Pick // by matte, as last seen
	dabs         []pressedDab       // pressed, the first's colours being read
	stopSaves    context.CancelFunc
	asked        inquiry  // last
	scrubbing    bool     // the playhead is being dragged
	frameChanged bool     // another frame was gone to, and is not shown yet
	playing      *playing // the clip plays; nil: it does not
	loop         bool
	pace         pace
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
		app: app, win: app.NewWindow(Title), desk: newDesk(),
		gains: map[int]*gain{}, hidden: map[int]bool{}, fitBase: map[int]study.Base{}, picks: map[int]study.Pick{},
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
	w.viewer = viewer.New()
	w.actions = w.makeActions() // first: hints name their keys
	w.preview = newPreview(w.viewer, func(frame int, err error) {
		fyne.Do(func() { w.reportUnshown(frame, err) })
	})
	w.assessor = newAssessor(func(f findings) { fyne.Do(func() { w.find(f) }) })
	w.checker = newChecker(func(v verdict) { fyne.Do(func() { w.takeVerdict(v) }) })
	w.reviewer = newReviewer(func(r review) { fyne.Do(func() { w.takeReview(r) }) })
	w.desk.Changed, w.desk.Report = w.display, w.report
	w.desk.Did = func(label string) {
		w.keepSaving()
		w.noteNewKeys()
		w.noteEdit()
		w.journal.tell("did %s", label)
	}

	w.bands = map[look.BandKind]*look.Band{}
	for _, k := range []look.BandKind{look.Failed, look.Caution} {
		w.bands[k] = look.NewBand(k)
		w.bands[k].OnClosed(func() { w.body.Refresh() })
	}
	w.mattes, w.views, w.work, w.list = newMatteRow(w), newViewRow(w), newWorkRow(w), newStepList(w)
	w.status, w.judge = newStatusRow(w), newJudge(w)
	w.time = newTimeArea(w)
	w.panels = map[step]panel{
		StepBase: newBasePanel(w), StepPick: newPickPanel(w), StepMasks: newMasksPanel(w), StepEdge: newEdgePanel(w), StepTrial: newTrialPanel(w),
	}
	w.tools = map[step]viewer.Tool{StepBase: newBaseTool(w), StepPick: newDabTool(w), StepMasks: newMaskTool(w)}
	w.toolOf = w.desk.Step
	w.viewer.SetTool(w.tools[w.toolOf])
	w.column = newColumn(w)
	w.marks = newOverlays(w)
	w.over = container.NewStack(w.viewer, w.marks.object(), container.New(atTop{}, w.status.bar),
		container.New(atTop{}, w.bands[look.Failed], w.bands[look.Caution]))

	w.menus = w.makeMenus()
	w.win.SetMainMenu(w.menus)
	left := container.NewBorder(w.views.object(), nil, nil, nil, container.New(overFoot{}, w.over, w.time.object()))
	w.body = container.NewBorder(w.mattes.object(), w.status.object(), nil, nil, container.New(&splitLayout{w.column}, left, w.column.object(), w.column.edge))
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
		w.desk.Moved = time.Now()
		w.ask(false)
		w.check() // after the hand has come to rest
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
	w.viewer.OnShow = func() { w.playShown(w.preview.last.Load()) }
	w.viewer.OnShown = func() {
		s := w.preview.last.Load()
		w.trace.add(s)
		// A picture of before may come late: it mends nothing.
		if b := w.bands[look.Failed]; s.request.frame == w.desk.Frame && b.Visible() && b.What() == unshown {
			b.Close()
		}
		w.status.showDetail(s)
		w.status.reading("")
		w.time.canRead(s.request.frame)
		w.frameChanged = false
		w.marks.shown(s)
		if !ready {
			ready = true
			w.journal.tell("ready")
		}
		w.tellPlaces()
		w.journal.tell("shown")
	}
	w.win.SetCloseIntercept(w.askToClose)
	w.win.SetOnDropped(func(_ fyne.Position, uris []fyne.URI) {
		if len(uris) > 0 {
			w.askToOpen(uris[0].Path())
		}
	})
}

// lookAt looks at another part of the frame.
func (w *window) lookAt(vp view.Viewport) {
	w.viewer.SetViewport(vp)
	w.viewer.OnViewport(w.viewer.Viewport())
}

// display shows the state of the desk everywhere, and asks for what it shows
// to be rendered.
func (w *window) display() {
	w.ask(w.desk.Dragging())
	w.notePicks()
	w.inquire()
	w.check()
	w.review()
	w.showNow()
	w.win.SetTitle(w.title())
}

// showNow puts the state on all parts.
func (w *window) showNow() {
	if w.desk.Step != w.toolOf {
		w.toolOf = w.desk.Step
		w.viewer.SetTool(w.tools[w.desk.Step])
	}
	w.maskTool().settle()
	w.tools[StepPick].(*dabTool).settle()
	for _, p := range []interface{ display() }{w.mattes, w.views, w.work, w.list, w.column, w.judge, w.status, w.time, &w.marks} {
		p.display()
	}
	w.panels[w.desk.Step].display()
	w.column.settle()
	w.showMenus()
	w.leaveHidden()
	if !w.desk.Dragging() { // else marks are drawn with the picture that is asked for
		w.viewer.Redraw()
	}
	w.tellPlaces()
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
	request := request{
		renderer: d.Work.Renderer, study: s, frame: d.Frame, vp: vp, left: d.View, right: d.View, divider: -1,
		beyond: d.ShowBeyond, dragging: dragging, asked: d.Moved, kind: w.kindOf(dragging), play: w.playing,
	}
	if d.Compare {
		request.left, request.divider = d.Other, d.Split*float64(vp.VW)
		w.viewer.SetDivider(d.Split)
		w.viewer.SetNames(d.Other.String(), d.View.String())
	} else {
		w.viewer.SetDivider(-1)
	}
	if m := d.Matte(); m != nil {
		request.settings = &m.Settings
	} else { // the other views are of a matte
		request.left, request.right = view.Frame, view.Frame
	}
	request.hidden = w.hiddenMattes()
	if d.BypassTrial {
		request.left, request.right = bypassed(request.left), bypassed(request.right)
	}
	w.preview.jobs.ask(request)
}

// inquire asks for findings about the matte as it is now.
func (w *window) inquire() {
	d := w.desk
	s := d.Study()
	if s == nil {
		return
	}
	q := inquiry{renderer: d.Work.Renderer, study: s, matteID: d.MatteID, frame: d.Frame, before: w.found}
	if d.TrueOf == d.MatteID && d.TrueAt == d.Frame {
		q.truth = d.Truth
	}
	if q.study == w.asked.study && q.matteID == w.asked.matteID && q.frame == w.asked.frame && q.truth == w.asked.truth {
		return
	}
	w.asked = q
	w.assessor.jobs.ask(q)
}

// find takes in what the assessor found.
func (w *window) find(f findings) {
	if w.desk.Study() == nil || f.about != w.asked.study {
		return
	}
	w.found = f
	w.showNow()
	if s := w.seam(); s != nil && s.why == "" {
		w.journal.tell("seam %.2f %.2f %.2f %.1f", s.figures.Rim, s.figures.Bleed, s.figures.Misfit, s.best)
	}
	w.journal.tell("found")
}

// fresh reports whether the findings are of the matte as it is now.
func (w *window) fresh() bool {
	return w.found.about != nil && w.found.about == w.desk.Study() && w.found.matteID == w.desk.MatteID && w.found.frame == w.desk.Frame
}

// sourceNow is the frame as decoded; nil while it is not known.
func (w *window) sourceNow() *colour.Image {
	if w.found.about == nil || w.found.frame != w.desk.Frame {
		return nil
	}
	return w.found.source
}

// weightAt is the weight of a pixel in the chosen matte, if that is known.
func (w *window) weightAt(x, y int) (float64, bool) {
	if w.fresh() && w.found.matte != nil {
		return float64(w.found.matte.Row(y)[x]), true
	}
	s := w.preview.last.Load()
	if s == nil || s.layers.Matte == nil {
		return 0, false
	}
	l := s.layers
	px, py := (x-l.Region.Min.X)/l.Factor, (y-l.Region.Min.Y)/l.Factor
	if px < 0 || py < 0 || px >= l.Matte.W || py >= l.Matte.H {
		return 0, false
	}
	return float64(l.Matte.Row(py)[px]), true
}

// notePicks remembers under which base each pick was set.
func (w *window) notePicks() {
	s := w.desk.Study()
	if s == nil || w.desk.Dragging() {
		return
	}
	for i := range s.Mattes {
		m := &s.Mattes[i]
		_, known := w.fitBase[m.ID]
		if !known || !reflect.DeepEqual(m.Pick, w.picks[m.ID]) {
			w.picks[m.ID], w.fitBase[m.ID] = m.Pick, s.Base
		}
	}
}

// stale reports whether a step needs a look: the pick does when Base changed,
// where its dabs are, after it was set from them.
func (w *window) stale(st step) bool {
	s, m := w.desk.Study(), w.desk.Matte()
	if st != StepPick || s == nil || m == nil || len(m.Dabs) == 0 {
		return false
	}
	under, known := w.fitBase[m.ID]
	return known && slices.ContainsFunc(m.Dabs, func(d study.Dab) bool {
		return under.At(d.Frame) != s.Base.At(d.Frame)
	})
}

// openStep opens a step of the work.
func (w *window) openStep(s step) { w.desk.Set(func() { w.desk.OpenStep(s) }) }

func (w *window) toggleCompare() {
	w.desk.Set(func() {
		w.desk.Compare = !w.desk.Compare
		if w.desk.Other == w.desk.View {
			w.desk.Other = view.Frame
			if w.desk.View == view.Frame {
				w.desk.Other = view.Matte
			}
		}
	})
}

// shows reports whether a matte's outlines are drawn on the frame, and its trial
// grades.
func (w *window) shows(matteID int) bool { return !w.hidden[matteID] }

func (w *window) show(matteID int, on bool) { w.desk.Set(func() { w.hidden[matteID] = !on }) }

// report shows a problem in the band under the view row.
func (w *window) report(p problem) {
	w.journal.tell("problem %s", p.what)
	if p.err == nil {
		w.say(look.Caution, p.what, p.todo, nil)
		return
	}
	w.say(look.Failed, p.what, p.todo, func() { w.openDetails(p) })
}

// unshown is what the band says while the viewer has nothing to show.
const unshown = "The frame cannot be shown"

// reportUnshown says once why the frame is not shown: the band changes the
// viewer's size, which asks for the frame again.
func (w *window) reportUnshown(frame int, err error) {
	w.time.cannotRead(frame)
	w.status.reading("")
	if b := w.bands[look.Failed]; !b.Visible() || b.What() != unshown {
		w.report(problem{unshown, "Put the file back, or open another study.", err})
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
	name := w.studyName()
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
	case StepBase:
		if w.desk.Press == PressWater {
			return "press on open water to sample it"
		}
		return "press on something grey to sample it"
	case StepPick:
		if w.desk.View == view.Reasons {
			return "rest on a pixel to ask why; a press pins the answer"
		}
		if w.tools[StepPick].(*dabTool).hover != 0 {
			return "Delete removes the dab under the pointer"
		}
		return "press: " + w.desk.DabKind.String() + " dab. Right button: the other kind. Wheel while pressed: its size"
	case StepMasks:
		if w.drawing() {
			return "press for each vertex; Enter or the first vertex closes. Right button: one back. Esc: none"
		}
		if w.makesKey() {
			return fmt.Sprintf("a move makes a key at frame %d. Double-click a line: new vertex", w.desk.Frame)
		}
		return "drag a vertex, line, handle or the box. Double-click a line: new vertex"
	case StepTrial:
		if w.desk.BypassTrial {
			return "without the trial, as long as " + keyName(bypassKey) + " is held"
		}
		return "hold " + keyName(bypassKey) + " to see the frame without the trial"
	}
	return "drag to pan, wheel to zoom"
}
