package panels

import (
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"image/draw"
	"testing"

	"fyne.io/fyne/v2"
	fynetooltip "github.com/dweymouth/fyne-tooltip"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/app/work"
	"halocline/mask"
	"halocline/selection"
)

// A window is what the column stands in in tests: a desk with nothing beside it.
type window struct {
	win    fyne.Window
	desk   *desk.Desk
	column *Column
	notes  []string // of the desk
	wrong  string   // with a number that was typed
	asked  []string // what was asked for over the window, and which menus
	masks  hand
	beyond float64
}

func (w *window) Canvas() fyne.Canvas               { return w.win.Canvas() }
func (w *window) TellPlaces()                       {}
func (w *window) WithKey(hint, label string) string { return hint + " (key of " + label + ")" }
func (w *window) KeyOf(label string) string         { return "key of " + label }
func (w *window) Pop(menu string, _ fyne.Position)  { w.asked = append(w.asked, menu) }
func (w *window) Problem(text string)               { w.wrong = text }
func (w *window) BeyondShare() float64              { return w.beyond }
func (w *window) labels() []string                  { return w.desk.Session.UndoLabels() }
func (w *window) value(id desk.ValueID) desk.OverTime {
	return desk.ValueOf(w.desk.Study(), w.desk.Matte(), id)
}
func (w *window) keys(id desk.ValueID) []int { return desk.FramesIn(w.value(id).Keys()) }

// ask is what asks for something over the window.
func (w *window) ask(what string) func() { return func() { w.asked = append(w.asked, what) } }

// A hand is a tool for masks that only remembers what it is told.
type hand struct {
	did    []string
	kind   study.Kind
	draws  bool
	anew   bool
	vertex int
}

func (h *hand) NewMask(k study.Kind)    { h.kind, h.draws = k, true }
func (h *hand) Draws(k study.Kind) bool { return h.draws && h.kind == k }
func (h *hand) DrawAnew()               { h.anew = true }
func (h *hand) DrawsAnew() bool         { return h.anew }
func (h *hand) VertexText(n int) string {
	if h.vertex < 0 {
		return fmt.Sprintf("%d, none chosen", n)
	}
	return fmt.Sprintf("%d of %d", h.vertex+1, n)
}
func (h *hand) LeaveVertex()    { h.vertex = -1 }
func (h *hand) InsertVertex()   { h.did = append(h.did, "insert") }
func (h *hand) DeleteVertices() { h.did = append(h.did, "delete") }

// newWindow is such a window with nothing open, and a hand for it.
func newWindow(t testing.TB) (*window, *stage.Hand) {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	app := stage.NewApp(t)
	w := &window{win: app.Bare(t), masks: hand{vertex: -1}}
	show := func() { w.column.Display() }
	w.desk = desk.NewDesk(desk.Listener{
		Changed: show, Sought: show, Learned: func(desk.News) { show() }, Did: func(string) {},
		Note: func(text string) { w.notes = append(w.notes, text) }, Post: fyne.Do,
		Report: func(p desk.Problem) { t.Errorf("%s: %v", p.What, p.Err) },
	})
	w.column = New(w.desk, Parts{
		Host: w, Judge: look.HGap(1), Keys: w, Status: w, Masks: &w.masks, Picture: w,
		Asks: Asks{OpenFile: w.ask("open"), RenameMask: w.ask("rename"), JoinMatte: w.ask("join"), SpareKeys: w.ask("spare keys"), ReadCDL: w.ask("read"), WriteCDL: w.ask("write")},
	})
	w.win.SetContent(fynetooltip.AddWindowToolTipLayer(w.column.Beside(look.HGap(1)), w.win.Canvas()))
	w.win.Resize(fyne.NewSize(1280, 800))
	fyne.DoAndWait(show)
	t.Cleanup(func() {
		fyne.DoAndWait(func() {
			w.desk.Leave()
			w.desk.Stop()
		})
		assert.Empty(t, stage.AwaitNobody(app.Stage), "goroutines left behind")
	})
	return w, stage.NewHand(w.win.Canvas(), app.Stage, func(fyne.KeyName, fyne.KeyModifier) bool { return false })
}

// begin puts a study on the desk.
func (w *window) begin(t testing.TB, wk *work.Work) {
	t.Helper()
	fyne.DoAndWait(func() { w.desk.Begin(wk, study.NewSession(wk.Study, wk.Path)) })
	w.settled(t)
}

// settled waits until what is found belongs to what is chosen.
func (w *window) settled(t testing.TB) {
	t.Helper()
	stage.Eventually(t, "the figures", w.desk.Fresh)
}

// onSample is such a window on the embedded sample.
func onSample(t testing.TB) (*window, *stage.Hand) {
	t.Helper()
	w, h := newWindow(t)
	wk, _, err := work.Sample(context.Background(), t.TempDir())
	require.NoError(t, err)
	w.begin(t, wk)
	return w, h
}

// onClip is such a window on discs over time, at frame 10 of 30, with a matte of them and a
// square keep mask in it whose only key is there.
func onClip(t testing.TB) (*window, *stage.Hand) {
	t.Helper()
	w, h := newWindow(t)
	wk, err := work.Open(context.Background(), stage.Discs(t, 30))
	require.NoError(t, err)
	stage.AddDisc(wk.Study)
	w.begin(t, wk)
	w.desk.GoToFrame(10)
	w.desk.AddMask(study.Keep, []mask.Point{{X: 40, Y: 30}, {X: 120, Y: 30}, {X: 120, Y: 90}, {X: 40, Y: 90}})
	w.desk.GoToStep(desk.StepMasks)
	w.settled(t)
	return w, h
}

// drawn is the sum of what an object looks like on the screen: to tell two looks apart.
func (w *window) drawn(o fyne.CanvasObject) string {
	fyne.DoAndWait(func() {}) // what is drawn soon is drawn
	at, size := fyne.CurrentApp().Driver().AbsolutePositionForObject(o), o.Size()
	m := image.NewNRGBA(image.Rect(0, 0, int(size.Width), int(size.Height)))
	draw.Draw(m, m.Rect, w.win.Canvas().Capture(), image.Pt(int(at.X), int(at.Y)), draw.Src)
	return fmt.Sprintf("%x", sha256.Sum256(m.Pix))
}

func pickOf(w *window) selection.Pick { return w.desk.Matte().Pick.At(w.desk.Frame) }
