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

// control is the row of one of the trial's controls.
func trialControl(t *testing.T, w *window, label string) *look.ValueRow {
	t.Helper()
	for i, c := range study.Controls {
		if c.Title() == label {
			return w.trialPanel().controls[i]
		}
	}
	require.Fail(t, "no control "+label)
	return nil
}

// The controls write the CDL's numbers, and read back from them.
func TestControlsWriteTheNumbers(t *testing.T) {
	w, h := newHandWindow(t)
	w.desk.GoToStep(desk.StepTrial)
	settled(t, w)
	require.Equal(t, view.Trial, w.desk.View, "it is looked at in its own view")
	h.typeInRow(t, trialControl(t, w, "Lightness"), "0.5")
	h.typeInRow(t, trialControl(t, w, "Contrast"), "1.25")
	h.typeInRow(t, trialControl(t, w, "Blue–orange"), "0.3")
	want, err := colour.NeutralCDL().WithControls(colour.CDLControls{BlueOrange: 0.3, Lightness: 0.5, Contrast: 1.25}, colour.MiddlePivot)
	require.NoError(t, err)
	assertCDL(t, want, trialOf(w))
	assert.Len(t, labels(w), 3, "each is one edit")
	p := w.trialPanel()
	assert.InDelta(t, want.Slope[0], p.rows[0].numbers[0].Value(), 1e-9)
	assert.InDelta(t, 1.25, p.rows[2].numbers[1].Value(), 1e-9)
	assert.InDelta(t, 0.5, trialControl(t, w, "Lightness").Value(), 1e-9)
	assert.Empty(t, p.leftover.Text())
	text, how := desk.StepTrial.Summary(w.desk.Study(), w.desk.Matte(), w.desk.Frame)
	assert.Equal(t, "lighter +0.50, orange +0.30, contrast 1.25", text)
	assert.Equal(t, desk.Active, how)

	for label, v := range map[string]string{"Lightness": "0", "Contrast": "1", "Blue–orange": "0"} {
		h.typeInRow(t, trialControl(t, w, label), v)
	}
	assert.True(t, trialOf(w).IsNeutral(), "set back, it is as it came to the bit: %v", trialOf(w))
}

func assertCDL(t *testing.T, want, got colour.CDL) {
	t.Helper()
	for c := range 3 {
		assert.InDelta(t, want.Slope[c], got.Slope[c], 1e-7)
		assert.InDelta(t, want.Offset[c], got.Offset[c], 1e-7)
		assert.InDelta(t, want.Power[c], got.Power[c], 1e-7)
	}
	assert.InDelta(t, want.Saturation, got.Saturation, 1e-7)
}

// What no control can say is said in words, and stays when a control moves.
func TestWhatIsLeftOver(t *testing.T) {
	w, h := newHandWindow(t)
	w.desk.TakeCDL(cdl.Correction{CDL: colour.CDL{Slope: [3]float64{1.1, 1, 0.9}, Offset: [3]float64{0.02, 0, 0}, Power: [3]float64{1, 1.2, 1}, Saturation: 1.1}})
	assert.Equal(t, desk.StepTrial, w.desk.Step)
	settled(t, w)
	assert.Equal(t, "left over: offsets, powers that differ", w.trialPanel().leftover.Text())
	h.typeInRow(t, trialControl(t, w, "Lightness"), "1")
	d := trialOf(w)
	assert.Equal(t, [3]float64{0.02, 0, 0}, d.Offset)
	assert.InDelta(t, 1.2, d.Power[1]/d.Power[0], 1e-9, "their ratio")
	assert.Equal(t, 1.1, d.Saturation)
}

// The view of the trial stands while there is one, and its digit is never
// another's.
func TestTheViewOfTheTrial(t *testing.T) {
	w, _ := newHandWindow(t)
	settled(t, w)
	tab := func() bool {
		there := false
		stage.Visit(w.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, seen bool) {
			if p, ok := o.(*look.Pressable); ok && seen && strings.HasSuffix(p.ToolTip(), "("+w.keyOf(view.Trial.String())+")") {
				there = true
			}
		})
		return there
	}
	assert.False(t, tab())
	w.typed(&fyne.KeyEvent{Name: fyne.Key6})
	assert.Equal(t, view.Hatch, w.desk.View, "there is nothing to show")
	w.desk.EditMatte("x", func(m *study.Matte) error { m.Trial.Slope[0].Fix(1.5); return nil })
	assert.True(t, tab())
	w.typed(&fyne.KeyEvent{Name: fyne.Key6})
	assert.Equal(t, view.Trial, w.desk.View)
	w.typed(&fyne.KeyEvent{Name: fyne.Key0})
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
	w.readCDL(path)
	require.True(t, w.sheets.IsOpen())
	pressLine(t, h, "cool")
	assert.False(t, w.sheets.IsOpen())
	assert.Equal(t, two[1].CDL, trialOf(w))
	assert.Equal(t, []string{"Trial from a CDL file"}, labels(w)[:1])

	w.askToWriteCDL()
	require.True(t, w.sheets.IsOpen())
	w.sheets.Close()
	one := filepath.Join(dir, "one.cc")
	require.NoError(t, cdl.Write(one, two[:1]))
	w.readCDL(one)
	assert.Equal(t, two[0].CDL, trialOf(w))
	w.desk.ResetTrial()
	assert.True(t, trialOf(w).IsNeutral())

	bad := filepath.Join(dir, "bad.cc")
	require.NoError(t, os.WriteFile(bad, []byte("<ColorCorrection>"), 0o600))
	before := w.desk.Study()
	w.readCDL(bad)
	assert.True(t, w.saying())
	assert.Same(t, before, w.desk.Study())
}

// A trial's values have keys as others do, the three channels of each together.
func TestTrialOverTime(t *testing.T) {
	w, h := newClipWindow(t, 12)
	w.desk.GoToStep(desk.StepTrial)
	settled(t, w)
	h.PressOn(t, notch(t, w, desk.StepTrial, "slope").Notch)
	assert.Equal(t, []int{10}, desk.FramesIn(desk.ValueOf(w.desk.Study(), w.desk.Matte(), desk.ValueID{Step: desk.StepTrial, Name: "slope"}).Keys()))
	w.desk.GoToFrame(4)
	settled(t, w)
	h.typeInRow(t, trialControl(t, w, "Lightness"), "1")
	assert.Equal(t, []int{4, 10}, desk.FramesIn(desk.ValueOf(w.desk.Study(), w.desk.Matte(), desk.ValueID{Step: desk.StepTrial, Name: "slope"}).Keys()))
	assert.InDelta(t, 2, w.desk.Matte().Trial.At(4).Slope[1], 1e-9)
	assert.InDelta(t, 1, w.desk.Matte().Trial.At(10).Slope[1], 1e-9)
	w.desk.GoToFrame(10)
	w.undo()
	assert.Equal(t, 4, w.desk.Frame, "where it changed")
	assert.Equal(t, desk.StepTrial, w.desk.Step)
}

// Lines of steps that change nothing give way where the window is low.
func TestStepsGiveWay(t *testing.T) {
	w, _ := newHandWindow(t)
	w.desk.GoToStep(desk.StepTrial)
	assert.Equal(t, []bool{true, true, true, true, false}, w.list.shownIn(9))
	quiet := 0
	for _, s := range []desk.Step{desk.StepBase, desk.StepPick, desk.StepMasks, desk.StepEdge} {
		if mark, _ := w.markOf(s); mark == look.Ring {
			quiet++
		}
	}
	require.Positive(t, quiet)
	for i, on := range w.list.shownIn(4 - quiet) {
		mark, _ := w.markOf(desk.Step(i))
		assert.Equal(t, on, desk.Step(i) != desk.StepTrial && mark != look.Ring, desk.Step(i))
	}
	assert.Equal(t, make([]bool, 5), w.list.shownIn(-3))
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
	assert.Equal(t, desk.SeamVerdict(s), w.trialPanel().verdict.Text())
	assert.Contains(t, said(w), desk.Fixed(s.Figures.Misfit, 1)+" misfit")
	require.NotNil(t, s.Noise)
	assert.Equal(t, desk.NoiseWords(s.Noise), w.trialPanel().noise.Text())

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
	h.PressOn(t, w.trialPanel().soften)
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
	assert.Equal(t, "Nothing is graded yet.", w.trialPanel().verdict.Text())
}

// No two actions have one key, and none that of what a held key does.
func TestKeysAreOfOneActionEach(t *testing.T) {
	w := newTestWindow(t)
	of := map[string]string{keyName(frame.BypassKey): "held"}
	for _, a := range w.actions {
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
	assert.Equal(t, "Shift+W", w.keyOf("Worst frames…"))
	assert.Panics(t, func() { w.keyOf("Whole clip") }, "it has no key")
}
