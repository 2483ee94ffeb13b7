package proofs

import (
	"context"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/sheets"
	"halocline/app/ui/stage"
	"halocline/app/view"
	"halocline/app/work"
	"halocline/colour"
)

// A window is what the proofs lie over in tests: a desk with nothing to be seen of it.
type window struct {
	win    fyne.Window
	desk   *desk.Desk
	sheets *sheets.Sheets
	looks  view.Viewport
}

func (w *window) Canvas() fyne.Canvas     { return w.win.Canvas() }
func (w *window) Viewport() view.Viewport { return w.looks }
func (w *window) Rest()                   { w.win.Canvas().Unfocus() }
func (w *window) TellPlaces()             {}
func (w *window) Tell(string, ...any)     {}
func (w *window) labels() []string        { return w.desk.Session.UndoLabels() }
func (w *window) edit(f func(m *study.Matte) error) {
	fyne.DoAndWait(func() { w.desk.EditMatte("Edit", f) })
}

// newWindow is such a window on discs, with a matte of them, and a hand for it.
func newWindow(t testing.TB, frames int) (*window, *stage.Hand) {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	app := stage.NewApp(t)
	w := &window{win: app.Bare(t), looks: view.Viewport{Fitted: true}}
	w.desk = desk.NewDesk(desk.Listener{
		Changed: func() {}, Did: func(string) {}, Sought: func() {}, Learned: func(desk.News) {}, Note: func(string) {}, Post: fyne.Do,
		Report: func(p desk.Problem) { t.Errorf("%s: %v", p.What, p.Err) },
	})
	w.sheets = sheets.New(w.desk, w.win, w)
	w.win.Canvas().SetOnTypedKey(func(e *fyne.KeyEvent) { w.sheets.Typed(e.Name) })
	wk, err := work.Open(context.Background(), stage.Discs(t, frames))
	require.NoError(t, err)
	fyne.DoAndWait(func() {
		w.desk.Begin(wk, study.NewSession(wk.Study, wk.Path))
		w.desk.Edit("Matte", func(s *study.Study, _ *study.Matte) error {
			w.desk.MatteID = stage.AddDisc(s).ID
			return nil
		})
	})
	stage.Eventually(t, "the figures", w.desk.Fresh)
	t.Cleanup(func() {
		fyne.DoAndWait(func() {
			w.sheets.Close()
			w.desk.Leave()
			w.desk.Stop()
		})
		assert.Empty(t, stage.AwaitNobody(app.Stage), "goroutines left behind")
	})
	return w, stage.NewHand(w.win.Canvas(), app.Stage, func(fyne.KeyName, fyne.KeyModifier) bool { return false })
}

// newProofed is such a window whose matte has a trial, with its sheet of proofs open.
func newProofed(t testing.TB, frames int) (*window, *stage.Hand, *Sheet) {
	t.Helper()
	w, h := newWindow(t, frames)
	w.edit(func(m *study.Matte) error {
		return m.Trial.SetCDL(w.desk.Frame, colour.CDL{Slope: [3]float64{1.12, 1.03, 0.92}, Power: [3]float64{0.92, 0.92, 0.92}, Saturation: 1.08})
	})
	stage.Eventually(t, "the figures", w.desk.Fresh)
	return w, h, w.open(t)
}

func (w *window) open(t testing.TB) (p *Sheet) {
	t.Helper()
	fyne.DoAndWait(func() { p = Open(w.desk, w.sheets, w) })
	require.NotNil(t, p)
	return p
}
