package ui

import (
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	fynetooltip "github.com/dweymouth/fyne-tooltip"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/field"
	"halocline/app/ui/frame"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
	"halocline/app/ui/stage"
	"halocline/app/view"
)

// newTestWindow is a window on the embedded sample in Fyne's test driver, which
// needs no display. What the background finds is waited for.
func newTestWindow(t testing.TB) *window {
	t.Helper()
	return newTestWindowOn(t, "")
}

// newTestWindowOn is newTestWindow on a file or folder of the test's.
func newTestWindowOn(t testing.TB, path string) *window {
	t.Helper()
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	app := stage.NewApp(t)
	app.Settings().SetTheme(look.Theme())
	w := newWindow(app, Config{Path: path})
	w.win.Resize(fyne.NewSize(1280, 800))
	stage.Eventually(t, "the footage", func() bool { return w.desk.Study() != nil && w.desk.Fresh() })
	t.Cleanup(func() {
		w.files.Leave()
		w.stopWorking()
		if _, timed := t.(*testing.B); !timed { // a benchmark has goroutines of its own
			assert.Empty(t, stage.AwaitNobody(app.Stage), "goroutines left behind")
		}
		// What the toolkit keeps of a window must not keep its frames.
		fynetooltip.DestroyWindowToolTipLayer(w.win.Canvas())
		w.desk.Opened = desk.NewOpened()
		w.preview.Last.Store(new(watch.Showing))
	})
	return w
}

func TestAStudyWithoutMattesIsShown(t *testing.T) {
	w := newTestWindow(t)
	fyne.DoAndWait(func() {
		for w.desk.Matte() != nil {
			w.desk.Edit("Delete matte", func(s *study.Study, m *study.Matte) error { return s.RemoveMatte(m.ID) })
		}
	})
	for _, v := range view.All {
		fyne.DoAndWait(func() { w.desk.Set(func() { w.desk.View = v }) })
		stage.Eventually(t, v.String(), func() bool {
			s := w.preview.Last.Load()
			return s.Request.Study == w.desk.Study() && s.Request.Settings == nil
		})
		require.False(t, w.messages.Showing(), v)
	}
	fyne.DoAndWait(func() {
		c, h := w.win.Canvas(), newHand(w)
		require.Empty(t, stage.Seen(c, stage.Any[*field.Field]), "nothing to set")
		h.PressOn(t, h.Button(t, "New matte"))
		require.NotNil(t, w.desk.Matte())
		require.NotEmpty(t, stage.Seen(c, stage.Any[*field.Field]))
	})
}

func TestAWindowWithNothingOpenShowsNoControls(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	w := newWindow(stage.NewApp(t), Config{Path: filepath.Join(t.TempDir(), "none.png")})
	c := w.win.Canvas()
	require.True(t, stage.Says(c, "Nothing is open."))
	for _, st := range desk.Steps {
		w.desk.GoToStep(st)
		require.Empty(t, stage.Seen(c, stage.Any[*look.ValueRow]), st)
		require.Empty(t, stage.Seen(c, stage.Any[*look.Number]), st)
	}
	stage.Eventually(t, "the failure", w.messages.Showing)
	w.stopWorking()
}

// No two actions have one key, and as many views as there are digits for leave
// Compare its own.
func TestNoTwoActionsHaveOneKey(t *testing.T) {
	w := newTestWindow(t)
	seen := map[string]string{}
	for _, a := range w.menu.actions {
		if text := a.keyText(); text != "" {
			require.Empty(t, seen[text], "%s of %s", text, a.label)
			seen[text] = a.label
		}
	}
	require.Equal(t, "Compare", seen["0"])
	for place := 1; place <= 9; place++ {
		require.NotEqual(t, digit(frame.CompareDigit), digit(place))
	}
}

func TestASheetLiesInTheMiddle(t *testing.T) {
	w := newTestWindow(t)
	done := look.NewButton("Close", nil)
	fyne.DoAndWait(func() {
		w.sheets.Open("Sheet", "", look.HGap(1), fyne.NewSize(600, 300), sheets.Buttons(nil, done), done)
	})
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(done)
	size := w.win.Canvas().Size()
	require.InDelta(t, size.Width/2+300, at.X+done.Size().Width, 40)
	require.InDelta(t, size.Height/2+150, at.Y+done.Size().Height, 40)
}

// BenchmarkDragMove is what one move of a drag costs on Fyne's goroutine: the
// edit, and the new state on every part of the window.
func BenchmarkDragMove(b *testing.B) {
	w := newTestWindow(b)
	v := 0.0
	for b.Loop() {
		v += 0.001
		w.desk.SlideMatte("Soften", study.Moved, func(m *study.Matte) error {
			m.Edge.Soften.Set(1, 1+v)
			return nil
		})
	}
}
