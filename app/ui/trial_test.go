package ui

import (
	"image"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/cdl"
	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/ui/frame"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/app/view"
	"halocline/colour"
)

func trialOf(w *window) colour.CDL { return w.desk.Matte().Trial.At(w.desk.Frame).CDL() }

// The view of the trial stands while there is one, and its digit is never
// another's.
func TestTheViewOfTheTrial(t *testing.T) {
	w, _ := newHandWindow(t)
	settled(t, w)
	tab := func() bool {
		there := false
		stage.Visit(w.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, seen bool) {
			if p, ok := o.(*look.Pressable); ok && seen && strings.HasSuffix(p.ToolTip(), "("+w.menu.KeyOf(view.Trial.String())+")") {
				there = true
			}
		})
		return there
	}
	assert.False(t, tab())
	w.menu.typed(&fyne.KeyEvent{Name: fyne.Key6})
	assert.Equal(t, view.Hatch, w.desk.View, "there is nothing to show")
	w.desk.EditMatte("x", func(m *study.Matte) error { m.Trial.Slope[0].Fix(1.5); return nil })
	assert.True(t, tab())
	w.menu.typed(&fyne.KeyEvent{Name: fyne.Key6})
	assert.Equal(t, view.Trial, w.desk.View)
	w.menu.typed(&fyne.KeyEvent{Name: fyne.Key0})
	assert.True(t, w.desk.Compare)
	assert.Equal(t, view.Frame, w.desk.Other, "before, on the left")
	settled(t, w)
	stage.Eventually(t, "both", func() bool {
		l := w.preview.Last.Load().Layers
		return l.Trial != nil && l.Shown != nil && l.Trial.R.Pix[0] >= 0
	})
}

// A held key shows the frame without the trial; a matte that is not shown does
// not grade.
func TestBypassTrial(t *testing.T) {
	w, _ := newHandWindow(t)
	id := w.desk.MatteID
	w.desk.EditMatte("x", func(m *study.Matte) error { m.Trial.Slope[0].Fix(3); return nil })
	w.desk.GoToStep(desk.StepTrial)
	shows := func(what string, ok func(s *watch.Showing) bool) {
		t.Helper()
		stage.Eventually(t, what, func() bool { s := w.preview.Last.Load(); return s != nil && ok(s) })
	}
	graded := func(s *watch.Showing) bool {
		if s.Layers.Trial == nil {
			return false
		}
		plain, err := s.Request.Renderer.Shown(t.Context(), requestOf(s))
		require.NoError(t, err)
		for i, v := range plain.R.Pix {
			if s.Layers.Trial.R.Pix[i] != v {
				return true
			}
		}
		return false
	}
	shows("the trial", graded)
	w.keyDown(&fyne.KeyEvent{Name: frame.BypassKey})
	assert.True(t, w.desk.BypassTrial)
	shows("the frame", func(s *watch.Showing) bool { return s.Layers.Trial == nil && s.Request.Left == view.Frame })
	w.keyUp(&fyne.KeyEvent{Name: frame.BypassKey})
	shows("the trial again", graded)

	w.keyDown(&fyne.KeyEvent{Name: frame.BypassKey})
	w.keyDown(&fyne.KeyEvent{Name: fyne.KeyX})
	assert.False(t, w.desk.BypassTrial, "any other key ends it")
	w.desk.SetShown(id, false)
	shows("a trial that is hidden", func(s *watch.Showing) bool { return s.Layers.Trial != nil && !graded(s) })
}

func requestOf(s *watch.Showing) render.Request {
	return render.Request{Study: s.Request.Study, Settings: s.Request.Settings, Frame: s.Request.Frame, Region: s.Request.Vp.Visible(), Factor: s.Factor, Draft: s.Draft}
}

// pressLine presses a line of text that can be seen.
func pressLine(t *testing.T, h *hand, part string) {
	t.Helper()
	var line fyne.CanvasObject
	stage.Visit(h.w.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, shown bool) {
		if l, ok := o.(*look.Label); ok && shown && strings.Contains(l.Text(), part) {
			line = l
		}
	})
	require.NotNil(t, line, "no line %q", part)
	h.PressOn(t, line)
}

func TestCDLFiles(t *testing.T) {
	w, h := newHandWindow(t)
	dir := t.TempDir()
	path := filepath.Join(dir, "two.ccc")
	two := []cdl.Correction{{ID: "warm", CDL: colour.NeutralCDL()}, {ID: "cool", Note: "for the sand", CDL: colour.NeutralCDL()}}
	two[0].CDL.Slope[0], two[1].CDL.Slope[2] = 1.25, 1.5
	require.NoError(t, cdl.Write(path, two))
	w.files.ReadCDL(path)
	require.True(t, w.sheets.IsOpen())
	pressLine(t, h, "cool")
	assert.False(t, w.sheets.IsOpen())
	assert.Equal(t, two[1].CDL, trialOf(w))
	assert.Equal(t, []string{"Trial from a CDL file"}, labels(w)[:1])

	w.files.WriteCDL()
	require.True(t, w.sheets.IsOpen())
	w.sheets.Close()
	one := filepath.Join(dir, "one.cc")
	require.NoError(t, cdl.Write(one, two[:1]))
	w.files.ReadCDL(one)
	assert.Equal(t, two[0].CDL, trialOf(w))
	w.desk.ResetTrial()
	assert.True(t, trialOf(w).IsNeutral())

	bad := filepath.Join(dir, "bad.cc")
	require.NoError(t, os.WriteFile(bad, []byte("<ColorCorrection>"), 0o600))
	before := w.desk.Study()
	w.files.ReadCDL(bad)
	assert.True(t, w.messages.Showing())
	assert.Same(t, before, w.desk.Study())
}

// A trial's values have keys as others do, the three channels of each together.
func TestTrialOverTime(t *testing.T) {
	w, h := newClipWindow(t, 12)
	w.desk.GoToStep(desk.StepTrial)
	settled(t, w)
	h.PressOn(t, stage.Notch(t, w.win.Canvas(), "slope"))
	assert.Equal(t, []int{10}, desk.FramesIn(desk.ValueOf(w.desk.Study(), w.desk.Matte(), desk.ValueID{Step: desk.StepTrial, Name: "slope"}).Keys()))
	w.desk.GoToFrame(4)
	settled(t, w)
	h.TypeInRow(t, stage.Row(t, w.win.Canvas(), "Lightness"), "1")
	assert.Equal(t, []int{4, 10}, desk.FramesIn(desk.ValueOf(w.desk.Study(), w.desk.Matte(), desk.ValueID{Step: desk.StepTrial, Name: "slope"}).Keys()))
	assert.InDelta(t, 2, w.desk.Matte().Trial.At(4).Slope[1], 1e-9)
	assert.InDelta(t, 1, w.desk.Matte().Trial.At(10).Slope[1], 1e-9)
	w.desk.GoToFrame(10)
	w.undo()
	assert.Equal(t, 4, w.desk.Frame, "where it changed")
	assert.Equal(t, desk.StepTrial, w.desk.Step)
}

// The map of where the edge shows is a band about the outline, and says nothing
// about what has changed since.
func TestWhereTheEdgeShows(t *testing.T) {
	w, h := newHandWindow(t)
	w.desk.EditMatte("x", func(m *study.Matte) error {
		m.Trial.Slope[0].Fix(1.6)
		m.Edge.Soften.Fix(0)
		return nil
	})
	w.desk.GoToStep(desk.StepTrial)
	stage.Eventually(t, "the seam", func() bool { return w.desk.Seam() != nil })
	s := w.desk.Seam()
	require.Empty(t, s.Why)
	assert.Positive(t, s.Figures.Rim)
	says := func(text string) bool { return stage.Says(w.win.Canvas(), text) }
	assert.True(t, says(desk.SeamVerdict(s).String()))
	assert.Contains(t, said(w), desk.Fixed(s.Figures.Misfit, 1)+" misfit")
	require.NotNil(t, s.Noise)
	assert.True(t, says(desk.NoiseWords(s.Noise)))

	h.Key(frame.BypassKey, shift)
	assert.True(t, w.desk.ShowSeam)
	vp := w.viewer.Viewport()
	draw := func() *image.RGBA {
		m := image.NewRGBA(image.Rect(0, 0, vp.VW, vp.VH))
		w.viewer.Marks(m, vp, 1)
		return m
	}
	blank := image.NewRGBA(image.Rect(0, 0, vp.VW, vp.VH))
	assert.NotEqual(t, blank.Pix, draw().Pix)
	w.desk.GoToStep(desk.StepMasks)
	assert.Equal(t, blank.Pix, draw().Pix, "elsewhere it would be in the way")
	w.desk.ToggleSeam()
	assert.Equal(t, desk.StepTrial, w.desk.Step)
	assert.NotEqual(t, blank.Pix, draw().Pix)
	require.True(t, w.desk.CanSoftenBest())
	h.PressOn(t, stage.Hinted[*look.Button](t, w.win.Canvas(), "Soften the matte's edge"))
	assert.Equal(t, "Soften: least misfit", labels(w)[0])
	assert.Equal(t, s.Best, w.desk.Matte().Edge.Soften.At(w.desk.Frame))
	assert.Nil(t, w.desk.Seam(), "it is of before")
	assert.Equal(t, blank.Pix, draw().Pix)
	stage.Eventually(t, "the seam anew", func() bool { return w.desk.Seam() != nil })
	assert.Less(t, w.desk.Seam().Figures.Misfit, s.Figures.Misfit)
	assert.False(t, w.desk.CanSoftenBest(), "there is nothing to gain")
	w.desk.EditMatte("x", func(m *study.Matte) error { m.Trial.Off = true; return nil })
	settled(t, w)
	assert.NotContains(t, said(w), "misfit")
	assert.True(t, says("Nothing is graded yet."))
}

// No two actions have one key, and none that of what a held key does.
func TestKeysAreOfOneActionEach(t *testing.T) {
	w := newTestWindow(t)
	of := map[string]string{keyName(frame.BypassKey): "held"}
	for _, a := range w.menu.actions {
		if text := a.keyText(); text != "" {
			assert.Empty(t, of[text], "%s: %s", text, a.label)
			of[text] = a.label
		}
	}
}

// A hint that ends with a key has it from the table of actions.
func TestHintsNameTheKeysOfTheTable(t *testing.T) {
	w := newWalkWindow(t, 4)
	fyne.DoAndWait(func() { w.win.Resize(fyne.NewSize(1280, 1000)) })
	hint := newHand(w).Button(t, "All…").ToolTip()
	assert.True(t, strings.HasSuffix(hint, "(Shift+W)"), hint)
	assert.Equal(t, "Shift+W", w.menu.KeyOf("Worst frames…"))
	assert.Panics(t, func() { w.menu.KeyOf("Whole clip") }, "it has no key")
}
