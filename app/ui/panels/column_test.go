package panels

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/colour"
	"halocline/selection"
)

// Where there is nothing to set the column has one button: what to do first.
func TestTheColumnOffersWhatToDoFirst(t *testing.T) {
	w, h := newWindow(t)
	c := w.win.Canvas()
	assert.True(t, stage.Says(c, "Nothing is open."))
	for _, st := range desk.Steps {
		assert.False(t, w.column.control.Objects[st].Visible(), st)
	}
	h.PressOn(t, h.Button(t, "Open…"))
	assert.Equal(t, []string{"open"}, w.asked)
}

func TestWithoutAMatteTheColumnOffersOne(t *testing.T) {
	w, h := onSample(t)
	for w.desk.Matte() != nil {
		w.desk.DeleteMatte()
	}
	w.desk.GoToStep(desk.StepPick)
	assert.True(t, stage.Says(w.win.Canvas(), "There is no matte yet."))
	h.PressOn(t, h.Button(t, "New matte"))
	assert.NotNil(t, w.desk.Matte())
	assert.True(t, w.column.control.Objects[desk.StepPick].Visible())
	w.desk.GoToStep(desk.StepEdge)
	for _, st := range desk.Steps {
		assert.Equal(t, st == desk.StepEdge, w.column.control.Objects[st].Visible(), st)
	}
}

func TestWhatLiesBelowAStepMovesWithItsHeight(t *testing.T) {
	w, _ := onSample(t)
	y := fyne.CurrentApp().Driver().AbsolutePositionForObject
	for _, st := range []desk.Step{desk.StepMasks, desk.StepPick, desk.StepEdge, desk.StepBase} {
		fyne.DoAndWait(func() { w.desk.GoToStep(st) })
		control := w.column.control
		below := y(w.column.list.object()).Y - y(control).Y - control.MinSize().Height
		require.InDelta(t, 5, below, 1, st) // a rule and the list's own margin
	}
}

// The column is as wide as suits the window until its edge is dragged.
func TestTheColumnsWidth(t *testing.T) {
	w, h := newWindow(t)
	width := func() float32 { return w.column.all.Size().Width }
	assert.Equal(t, float32(narrowColumn), width())
	w.win.Resize(fyne.NewSize(wideWindow, 1000))
	assert.Equal(t, float32(wideColumn), width())
	edge := func() fyne.Position { return fyne.NewPos(w.win.Canvas().Size().Width-width(), 500) }
	h.Drag(desktop.MouseButtonPrimary, edge(), edge().AddXY(-20, 0), edge().AddXY(-60, 3))
	assert.InDelta(t, wideColumn+60, width(), 1)
	w.win.Resize(fyne.NewSize(1280, 800))
	assert.InDelta(t, wideColumn+60, width(), 1, "it stays as it was dragged")
	h.Drag(desktop.MouseButtonPrimary, edge(), edge().AddXY(30, 0), edge().AddXY(600, 0))
	assert.Equal(t, float32(slimmestColumn), width())
}

// Lines of steps that change nothing give way where the window is low.
func TestStepsGiveWay(t *testing.T) {
	w, _ := onSample(t)
	w.desk.GoToStep(desk.StepTrial)
	list := w.column.list
	assert.Equal(t, []bool{true, true, true, true, false}, list.shownIn(9))
	quiet := 0
	for _, s := range []desk.Step{desk.StepBase, desk.StepPick, desk.StepMasks, desk.StepEdge} {
		if mark, _ := markOf(w.desk, s); mark == look.Ring {
			quiet++
		}
	}
	require.Positive(t, quiet)
	for i, on := range list.shownIn(4 - quiet) {
		mark, _ := markOf(w.desk, desk.Step(i))
		assert.Equal(t, on, desk.Step(i) != desk.StepTrial && mark != look.Ring, desk.Step(i))
	}
	assert.Equal(t, make([]bool, 5), list.shownIn(-3))
}

// A step is opened from the row and from its line; the arrows go along the row.
func TestStepsAreOpened(t *testing.T) {
	w, h := onSample(t)
	row := w.column.work.steps
	h.PressOn(t, row[desk.StepEdge].Pressable)
	assert.Equal(t, desk.StepEdge, w.desk.Step)
	look.Focus(row[desk.StepEdge].Pressable)
	h.Key(fyne.KeyRight, 0)
	assert.Equal(t, desk.StepTrial, w.desk.Step)
	assert.Equal(t, fyne.Focusable(row[desk.StepTrial].Pressable), w.win.Canvas().Focused())
	h.Key(fyne.KeyRight, 0)
	assert.Equal(t, desk.StepTrial, w.desk.Step, "it is the last")
	h.PressOn(t, w.column.list.lines[desk.StepPick].Pressable)
	assert.Equal(t, desk.StepPick, w.desk.Step)
}

// A pressed dab's colours stand in the field with the others until it is let go, and
// the colour under the pointer is ringed.
func TestADabIsPreviewed(t *testing.T) {
	w, _ := onSample(t)
	w.desk.GoToStep(desk.StepPick)
	field := func() string { return w.drawn(w.column.pick.field) }
	rest := field()
	sample := &selection.Dab{Colours: []colour.RGB{{R: 0.2, G: 0.7, B: 0.3}}, Keep: true}
	w.column.PreviewDab(sample, nil)
	sampled := field()
	assert.NotEqual(t, rest, sampled)
	would := pickOf(w)
	would.Limits[selection.Hue].Range = selection.Range{From: 100, To: 160}
	w.column.PreviewDab(sample, &would)
	assert.NotEqual(t, sampled, field(), "and the pick as it would become")
	w.column.PreviewDab(nil, nil)
	assert.Equal(t, rest, field())
	w.column.HoverValue(&selection.Point{120, 0.5, 0.5})
	assert.NotEqual(t, rest, field())
	w.column.HoverValue(nil)
	assert.Equal(t, rest, field())
	for w.desk.Matte() != nil {
		w.desk.DeleteMatte()
	}
	assert.NotPanics(t, func() { w.column.PreviewDab(sample, nil) }, "its matte is gone")
}

// Where there is no room for any line of the other steps, their rule gives way too.
func TestTheRuleGivesWayWithTheLines(t *testing.T) {
	w, _ := onClip(t)
	require.True(t, w.column.foot.Visible())
	w.win.Resize(fyne.NewSize(1280, 420))
	fyne.DoAndWait(w.column.Display)
	assert.False(t, w.column.foot.Visible())
	w.win.Resize(fyne.NewSize(1280, 800))
	fyne.DoAndWait(w.column.Display)
	assert.True(t, w.column.foot.Visible())
}
