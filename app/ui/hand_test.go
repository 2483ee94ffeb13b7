package ui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/export"
	"halocline/app/study"
	"halocline/app/ui/handles"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/app/view"
	"halocline/mask"
	"halocline/selection"
)

const (
	left  = desktop.MouseButtonPrimary
	right = desktop.MouseButtonSecondary
)

// newHandWindow is a test's window and a hand for it. What is unsaved is kept,
// and what is saved by default goes, where the test leaves nothing behind.
func newHandWindow(t *testing.T) (*window, *hand) {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	w := newTestWindow(t)
	return w, newHand(w)
}

// A hand is one for a window, and finds its way about the frame.
type hand struct {
	*stage.Hand
	w *window
}

func newHand(w *window) *hand {
	return &hand{stage.NewHand(w.win.Canvas(), w.app.(*stage.App).Stage, w.shortcut), w}
}

// shortcut runs the action of a menu that has a key, and reports whether one has.
func (w *window) shortcut(key fyne.KeyName, mods fyne.KeyModifier) bool {
	for _, a := range w.menu.actions {
		if a.key == key && a.mods == mods {
			w.menu.try(a)
			return true
		}
	}
	return false
}

// onFrame is where a place of the frame is in the window.
func (h *hand) onFrame(t testing.TB, x, y float64) fyne.Position {
	t.Helper()
	v := h.w.viewer
	sx, sy := v.Viewport().ToScreen(x, y)
	return h.Middle(t, v).SubtractXY(v.Size().Width/2, v.Size().Height/2).AddXY(float32(sx), float32(sy))
}

func labels(w *window) []string { return w.desk.Session.UndoLabels() }

func pickOf(w *window) selection.Pick { return w.desk.Matte().Pick.At(w.desk.Frame) }

func TestAPressIsADab(t *testing.T) {
	w, h := newHandWindow(t)
	w.desk.UseDab(study.Keep)
	n := len(w.desk.Matte().Dabs)
	h.Tap(h.onFrame(t, 600, 360), left)
	stage.Eventually(t, "a dab", func() bool { return len(w.desk.Matte().Dabs) == n+1 })
	d := w.desk.Matte().Dabs[n]
	assert.Equal(t, study.Keep, d.Kind)
	assert.InDelta(t, 600, d.X, 2)
	assert.InDelta(t, 360, d.Y, 2)
	assert.Equal(t, []string{"Keep dab"}, labels(w))

	h.Tap(h.onFrame(t, 200, 100), right)
	stage.Eventually(t, "another", func() bool { return len(w.desk.Matte().Dabs) == n+2 })
	assert.Equal(t, study.Drop, w.desk.Matte().Dabs[n+1].Kind, "the right button makes the other kind")
	h.Key(fyne.KeyD, 0)
	h.Tap(h.onFrame(t, 210, 120), right)
	stage.Eventually(t, "a third", func() bool { return len(w.desk.Matte().Dabs) == n+3 })
	assert.Equal(t, study.Keep, w.desk.Matte().Dabs[n+2].Kind)
}

func TestEscDuringAPressLeavesNothing(t *testing.T) {
	w, h := newHandWindow(t)
	before := w.desk.Study()
	h.Move(h.onFrame(t, 600, 360))
	h.Press(left)
	h.Move(h.onFrame(t, 640, 380))
	h.Key(fyne.KeyEscape, 0)
	h.Release(false)
	assert.Same(t, before, w.desk.Study())
	assert.Empty(t, w.desk.Dabs)
}

func TestASliderDragIsOneEdit(t *testing.T) {
	w, h := newHandWindow(t)
	w.desk.GoToStep(desk.StepEdge)
	soften := func() float64 { return w.desk.Matte().Edge.Soften.At(w.desk.Frame) }
	var sliders []*look.Slider
	stage.Visit(w.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, _ bool) {
		if s, ok := o.(*look.Slider); ok {
			sliders = append(sliders, s)
		}
	})
	slider := sliders[len(sliders)-2] // Soften's; Settle's is the last
	at := h.Middle(t, slider)
	h.Drag(left, at, at.AddXY(10, 0), at.AddXY(25, 3), at.AddXY(40, -60))
	assert.Positive(t, soften())
	assert.Equal(t, []string{"Soften"}, labels(w))
	was := soften()
	h.Move(h.Middle(t, slider))
	h.Press(left)
	h.Move(at.AddXY(-30, 0))
	require.NotEqual(t, was, soften(), "it follows")
	h.Key(fyne.KeyEscape, 0)
	h.Release(false)
	assert.Equal(t, was, soften(), "Esc gives the drag up")
	assert.Len(t, labels(w), 1)
}

func TestUndoOpensWhereSomethingChanged(t *testing.T) {
	w, h := newHandWindow(t)
	w.desk.GoToStep(desk.StepEdge)
	w.desk.Edit("Soften", setSoften(3))
	w.desk.GoToStep(desk.StepBase)
	h.Key(fyne.KeyZ, ctrl)
	assert.Equal(t, desk.StepEdge, w.desk.Step)
	w.desk.GoToStep(desk.StepMasks)
	h.Key(fyne.KeyZ, ctrl|shift)
	assert.Equal(t, desk.StepEdge, w.desk.Step, "and redo does")
	id := w.desk.MatteID
	w.desk.NewMatte()
	assert.NotEqual(t, id, w.desk.MatteID)
	h.Key(fyne.KeyZ, ctrl)
	h.Key(fyne.KeyZ, ctrl)
	assert.Equal(t, id, w.desk.MatteID, "the matte too")
}

func TestASuggestionIsShownBeforeItIsTaken(t *testing.T) {
	w, h := newHandWindow(t)
	for _, d := range []study.Dab{{X: 600, Y: 360, Radius: 12}, {X: 100, Y: 650, Radius: 12, Kind: study.Drop}} {
		n := len(w.desk.Matte().Dabs)
		w.desk.AddDab(d)
		stage.Eventually(t, "a dab", func() bool { return len(w.desk.Matte().Dabs) == n+1 })
	}
	w.desk.Edit("Hue", func(_ *study.Study, m *study.Matte) error {
		p := m.Pick.At(1)
		p.Limits[selection.Hue].From -= 5
		desk.PutPick(m, p, 1)
		return nil
	})
	c := w.win.Canvas()
	button := func(label string) bool {
		return len(stage.Seen(c, func(b *look.Button) bool { return b.Label() == label })) > 0
	}
	suggest := func() {
		before := w.desk.Study()
		h.Key(fyne.KeyT, ctrl)
		stage.Eventually(t, "a suggestion", func() bool { return w.desk.Offer != nil })
		assert.Same(t, before, w.desk.Study(), "shown alone")
		assert.True(t, button("Take it"))
		assert.False(t, button(desk.SuggestLabel))
	}
	suggest()
	w.desk.Edit("Soften", setSoften(2))
	assert.Nil(t, w.desk.Offer, "the study is another")
	assert.False(t, button("Take it"))
	assert.True(t, button(desk.SuggestLabel))

	suggest()
	h.PressOn(t, h.Button(t, "Back"))
	assert.Equal(t, "Soften", labels(w)[0])

	suggest()
	want := w.desk.Offer.Pick
	h.PressOn(t, h.Button(t, "Take it"))
	assert.Equal(t, want, pickOf(w))
	assert.True(t, w.desk.Matte().Pick.Fitted)
	assert.False(t, button("Take it"))
	assert.Equal(t, "Suggest from dabs", labels(w)[0])

	suggest()
	w.desk.NewMatte()
	assert.Nil(t, w.desk.Offer, "another matte is chosen")
}

// changedNumbers counts the bounds in which two picks differ.
func changedNumbers(a, b selection.Pick) (n int) {
	for c := range a.Limits {
		x, y := a.Limits[c].Range, b.Limits[c].Range
		for _, d := range []float64{x.From - y.From, x.To - y.To, x.Before - y.Before, x.After - y.After} {
			if d > 1e-9 || d < -1e-9 {
				n++
			}
		}
	}
	return n
}

func TestReasonsIncludeAndLeaveOut(t *testing.T) {
	w, h := newHandWindow(t)
	h.Key(fyne.Key5, 0)
	require.Equal(t, view.Reasons, w.desk.View)
	seek := func(want func(selection.Reason) bool) fyne.Position {
		w.viewer.Fit()
		width, height := w.desk.Found.Picked.Size()
		for y := 40; y < height-40; y += 7 {
			for x := 40; x < width-300; x += 7 {
				c, _ := w.desk.PixelAt(x, y)
				a := &desk.AskedPixel{X: x, Y: y, Value: w.desk.Matte().Pick.Model.At(c)}
				weight, _ := w.frame.WeightAt(x, y)
				if want(w.desk.ReasonAt(*a, weight)) {
					return h.onFrame(t, float64(x)+0.5, float64(y)+0.5)
				}
			}
		}
		require.Fail(t, "no such pixel")
		return fyne.Position{}
	}
	out := func(r selection.Reason) bool {
		return r == selection.ByHue || r == selection.ByLight || r == selection.BySat
	}
	h.Tap(seek(out), left)
	require.NotNil(t, w.frame.Asked())
	before, value := pickOf(w), w.frame.Asked().Value
	h.PressOn(t, h.Button(t, "Include this"))
	after := pickOf(w)
	assert.Equal(t, []string{"Include this"}, labels(w))
	assert.GreaterOrEqual(t, changedNumbers(before, after), 1)
	assert.Greater(t, after.Weight(value), before.Weight(value))
	channels := 0
	for c := range before.Limits {
		if before.Limits[c] != after.Limits[c] {
			channels++
		}
	}
	assert.Equal(t, 1, channels, "one channel's bound is moved")

	h.Key(fyne.KeyEscape, 0)
	stage.Eventually(t, "figures", w.desk.Fresh)
	h.Tap(seek(func(r selection.Reason) bool { return r == selection.In }), left)
	require.NotNil(t, w.frame.Asked())
	before, value = pickOf(w), w.frame.Asked().Value
	h.PressOn(t, h.Button(t, "Leave this out"))
	after = pickOf(w)
	assert.Equal(t, "Leave this out", labels(w)[0])
	assert.Equal(t, 1, changedNumbers(before, after), "one bound is moved")
	assert.Less(t, after.Weight(value), before.Weight(value))
}

func TestANewMaskByFivePressesAndEnter(t *testing.T) {
	w, h := newHandWindow(t)
	w.desk.GoToStep(desk.StepMasks)
	h.PressOn(t, h.Button(t, "New keep mask"))
	corners := [][2]float64{{400, 200}, {800, 180}, {900, 500}, {600, 600}, {380, 480}}
	for _, c := range corners {
		h.Tap(h.onFrame(t, c[0], c[1]), left)
	}
	h.Key(fyne.KeyReturn, 0)
	m := w.desk.Mask()
	require.NotNil(t, m)
	assert.Equal(t, []string{"New keep mask"}, labels(w))
	assert.Equal(t, study.Keep, m.Kind)
	points := m.At(w.desk.Frame).Points
	require.Len(t, points, 5)
	for i, c := range corners {
		assert.InDelta(t, c[0], points[i].X, 2)
		assert.InDelta(t, c[1], points[i].Y, 2)
	}
	assert.False(t, w.frame.Drawing())

	at, ok := w.frame.MaskHandles().Place(handles.Centre)
	require.True(t, ok)
	x, y := w.viewer.Viewport().ToPicture(at.X, at.Y)
	from := h.onFrame(t, x, y)
	h.Drag(left, from, from.AddXY(20, 0), from.AddXY(30, 10))
	assert.Equal(t, "Move mask", labels(w)[0])
	assert.Len(t, labels(w), 2, "a drag is one edit")

	h.PressOn(t, h.Button(t, "New drop mask"))
	h.Tap(h.onFrame(t, 100, 100), left)
	h.Tap(h.onFrame(t, 150, 100), left)
	h.Key(fyne.KeyReturn, 0)
	assert.True(t, w.frame.Drawing(), "two vertices are too few")
	h.Key(fyne.KeyEscape, 0)
	assert.False(t, w.frame.Drawing())
	assert.Len(t, labels(w), 2)
}

func TestADrawnMaskBelongsToItsMatte(t *testing.T) {
	w, h := newHandWindow(t)
	require.Greater(t, len(w.desk.Study().Mattes), 1)
	for range 2 {
		w.frame.NewMask(study.Keep)
		for _, c := range [][2]float64{{400, 200}, {800, 180}, {900, 500}} {
			h.Tap(h.onFrame(t, c[0], c[1]), left)
		}
		require.True(t, w.frame.Drawing())
		w.desk.NextMatte(1)
		assert.False(t, w.frame.Drawing(), "another matte is chosen")
		w.frame.NewMask(study.Keep)
		w.desk.DeleteMatte()
		assert.False(t, w.frame.Drawing(), "the matte is gone")
	}
	for w.desk.Matte() != nil {
		w.desk.DeleteMatte()
	}
	w.desk.AddMask(study.Keep, []mask.Point{{X: 1}, {X: 9}, {Y: 9}})
	assert.Equal(t, "Delete matte", labels(w)[0])
	assert.True(t, w.messages.Showing())
}

func TestHiddenControlsHearNoKeys(t *testing.T) {
	w, h := newHandWindow(t)
	c := w.win.Canvas()
	smooth := stage.Hinted[*look.Switch](t, c, "The pick reads the picture")
	c.Focus(smooth)
	require.Equal(t, fyne.Focusable(smooth), c.Focused())
	w.desk.GoToStep(desk.StepEdge)
	before := w.desk.Study()
	h.Key(fyne.KeySpace, 0)
	assert.Same(t, before, w.desk.Study())
	assert.Equal(t, fyne.Focusable(w.viewer), c.Focused())
}

func TestExportSheetSaysWhatItWouldWrite(t *testing.T) {
	w, h := newHandWindow(t)
	h.Key(fyne.KeyE, ctrl)
	require.True(t, w.sheets.IsOpen())
	var pattern *look.Entry
	stage.Visit(w.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, _ bool) {
		if e, ok := o.(*look.Entry); ok && e.Now() == export.DefaultPattern {
			pattern = e
		}
	})
	require.NotNil(t, pattern)
	says := func(part string) bool {
		found := false
		stage.Visit(w.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, _ bool) {
			if l, ok := o.(*look.Label); ok && strings.Contains(l.Text(), part) {
				found = true
			}
		})
		return found
	}
	put := func(text string) {
		w.win.Canvas().Unfocus()
		w.win.Canvas().Focus(pattern.Focusable()) // which chooses all of its text
		h.Write(text)
	}
	button := h.Button(t, "Export")
	assert.False(t, button.Disabled())
	assert.True(t, says("makes "))
	put("cut_{matte}.png")
	assert.True(t, says("makes cut_skin.png"), "the names follow each letter")
	put("{nothing}.png")
	assert.True(t, button.Disabled())
	assert.False(t, says("makes "))
	assert.True(t, says("nothing"), "words say what is wrong")
	put("again_{matte}.png")
	assert.False(t, button.Disabled())

	h.PressOn(t, button)
	stage.Eventually(t, "the export", func() bool { return says("Written: 1 of 1") })
	written, err := filepath.Glob(filepath.Join(os.Getenv("HOME"), "mattes", "again_*.png"))
	require.NoError(t, err)
	assert.Len(t, written, 1)
	h.PressOn(t, h.Button(t, "Close"))
	assert.False(t, w.sheets.IsOpen())
}

func TestClosingAsksAboutUnsavedWork(t *testing.T) {
	w, h := newHandWindow(t)
	closed := false
	w.win.SetOnClosed(func() { closed = true })
	w.desk.Edit("Soften", setSoften(2))
	w.askToClose()
	require.True(t, w.sheets.IsOpen())
	assert.False(t, closed)
	h.PressOn(t, h.Button(t, "Back"))
	assert.False(t, closed)
	assert.Equal(t, 2.0, w.desk.Matte().Edge.Soften.At(1), "the work is still there")

	w.askToClose()
	h.Key(fyne.KeyEscape, 0)
	assert.False(t, w.sheets.IsOpen())
	assert.False(t, closed, "Esc is Back")

	w.askToClose()
	h.PressOn(t, h.Button(t, "Save"))
	require.True(t, w.sheets.IsOpen(), "it has no file yet")
	h.PressOn(t, h.Button(t, "Cancel"))
	assert.False(t, closed)

	w.askToClose()
	h.PressOn(t, h.Button(t, "Save"))
	path := filepath.Join(os.Getenv("HOME"), "sample"+study.Ending)
	w.desk.Refresh()
	h.PressOn(t, h.Button(t, "Save"))
	assert.FileExists(t, path)
	assert.True(t, closed)
	s, err := study.Load(path)
	require.NoError(t, err)
	assert.Equal(t, 2.0, s.Mattes[0].Edge.Soften.At(s.Clip.First))
}

// setSoften softens the chosen matte's edge.
func setSoften(v float64) func(*study.Study, *study.Matte) error {
	return func(_ *study.Study, m *study.Matte) error {
		m.Edge.Soften.Set(1, v)
		return nil
	}
}
