package ui

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/mask"
)

// newClipWindow is a window on a sequence of small frames, numbered from 1, with
// a matte and a square keep mask in it whose only key is at frame 10.
func newClipWindow(t testing.TB, frames int) (*window, *hand) {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	folder := t.TempDir()
	for n := 1; n <= frames; n++ {
		m := image.NewNRGBA(image.Rect(0, 0, 160, 120))
		for y := range 120 {
			for x := range 160 {
				m.SetNRGBA(x, y, color.NRGBA{uint8(40 + x), uint8(60 + y), uint8(100 + 2*n), 255})
			}
		}
		f, err := os.Create(filepath.Join(folder, fmt.Sprintf("dive.%03d.png", n)))
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, m))
		require.NoError(t, f.Close())
	}
	w := newTestWindowOn(t, folder)
	if w.desk.Matte() == nil {
		w.desk.NewMatte()
	}
	w.desk.GoToFrame(10)
	w.desk.AddMask(study.Keep, []mask.Point{{X: 40, Y: 30}, {X: 120, Y: 30}, {X: 120, Y: 90}, {X: 40, Y: 90}})
	w.desk.GoToStep(desk.StepMasks)
	settled(t, w)
	return w, newHand(w)
}

// settled waits until what is found belongs to what is chosen.
func settled(t testing.TB, w *window) {
	t.Helper()
	stage.Eventually(t, "rest", func() bool {
		s := w.preview.Last.Load()
		return w.desk.Fresh() && s != nil && s.Request.Study == w.desk.Study() && s.Request.Frame == w.desk.Frame
	})
}

func keyFrames(w *window) []int { return desk.FramesOf(&w.desk.Mask().Track) }

// dragVertex drags a vertex of the chosen mask by picture pixels.
func dragVertex(t testing.TB, w *window, h *hand, i int, dx, dy float64) {
	t.Helper()
	s, _ := w.frame.MaskShape()
	p := s.Points[i]
	h.Drag(left, h.onFrame(t, p.X, p.Y), h.onFrame(t, p.X+dx/2, p.Y+dy/2), h.onFrame(t, p.X+dx, p.Y+dy))
}

func isReach(s *look.Segments) bool { return slices.Equal(s.Labels(), desk.ReachNames) }

// reachSegments are the control of which keys a move changes.
func reachSegments(t testing.TB, w *window) *look.Segments {
	t.Helper()
	return stage.Find(t, w.win.Canvas(), "reach", isReach)
}

func TestAVertexMovedBetweenKeysMakesAKey(t *testing.T) {
	w, h := newClipWindow(t, 40)
	assert.Equal(t, []int{10}, keyFrames(w), "a new mask's first key is at the frame shown")
	w.desk.GoToFrame(20)
	dragVertex(t, w, h, 1, 12, 8)
	assert.Equal(t, []int{10, 20}, keyFrames(w))
	m := w.desk.Mask()
	assert.Equal(t, mask.Point{X: 120, Y: 30}, m.At(10).Points[1])
	assert.InDelta(t, 132, m.At(20).Points[1].X, 0.5)
	assert.InDelta(t, 126, m.At(15).Points[1].X, 0.5, "half the way")
	assert.Equal(t, "‘keep’: key made at frame 20", w.status.Says())
	assert.Equal(t, "Move vertex", labels(w)[0])

	w.desk.GoToFrame(15)
	assert.NotContains(t, w.status.Says(), "made")
	h.Key(fyne.KeyEscape, 0)
	w.win.Canvas().Focus(w.viewer)
	h.Key(fyne.KeyTab, 0)
	h.Key(fyne.KeyRight, 0)
	assert.Equal(t, []int{10, 15, 20}, keyFrames(w), "a nudge makes one too")

	h.Move(h.onFrame(t, 80, 60))
	h.Key(fyne.KeyZ, fyne.KeyModifierControl)
	h.Key(fyne.KeyZ, fyne.KeyModifierControl)
	assert.Equal(t, []int{10}, keyFrames(w))
}

func TestADragThatIsGivenUpMakesNoKey(t *testing.T) {
	w, h := newClipWindow(t, 20)
	w.desk.GoToFrame(15)
	h.Move(h.onFrame(t, 120, 30))
	h.Press(left)
	h.Move(h.onFrame(t, 130, 36))
	assert.Equal(t, []int{10, 15}, keyFrames(w), "while it is dragged")
	h.Key(fyne.KeyEscape, 0)
	h.Release(false)
	assert.Equal(t, []int{10}, keyFrames(w))
	h.Tap(h.onFrame(t, 120, 30), left)
	assert.Equal(t, []int{10}, keyFrames(w), "a press alone")
}

func TestMovesReachTheKeysThatAreChosen(t *testing.T) {
	type place struct{ frame, x int }
	for _, tt := range []struct {
		reach mask.Reach
		want  []place // of the first vertex, at its keys
	}{
		{mask.Here, []place{{10, 40}, {20, 60}, {30, 50}}},
		{mask.Onward, []place{{10, 40}, {20, 60}, {30, 60}}},
		{mask.Everywhere, []place{{10, 50}, {20, 60}, {30, 60}}},
	} {
		t.Run(desk.ReachNames[tt.reach], func(t *testing.T) {
			w, h := newClipWindow(t, 40)
			w.desk.EditMask("Keys", func(m *study.Mask) error {
				m.Move(20, mask.Here, 10, 0)
				m.Change(30, mask.Here, func(*mask.Key) {})
				return nil
			})
			w.desk.GoToFrame(20)
			h.PressSegment(t, reachSegments(t, w), int(tt.reach), 3)
			require.Equal(t, tt.reach, w.desk.Reach)
			require.Equal(t, tt.reach != mask.Here, bannerShown(w))
			dragVertex(t, w, h, 0, 10, 0)
			var got []place
			for _, k := range w.desk.Mask().Keys {
				got = append(got, place{k.Frame, int(k.Points[0].X + 0.5)})
			}
			assert.Equal(t, tt.want, got)

			before := w.desk.Mask().At(30).Inner
			h.TypeInRow(t, stage.Row(t, w.win.Canvas(), study.InwardSpec.Title()), "9")
			reached := tt.reach != mask.Here
			assert.Equal(t, 9.0, w.desk.Mask().At(20).Inner)
			assert.Equal(t, reached, w.desk.Mask().At(30).Inner != before)
			if reached {
				h.PressOn(t, h.Button(t, "Only this key"))
				assert.Equal(t, mask.Here, w.desk.Reach)
				assert.False(t, bannerShown(w))
			}
		})
	}
}

// bannerShown reports whether the frame says that a move changes several keys.
func bannerShown(w *window) bool {
	shown := false
	stage.Visit(w.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, seen bool) {
		if l, ok := o.(*look.Label); ok && seen && strings.HasPrefix(l.Text(), "Moving ") {
			shown = true
		}
	})
	return shown
}

// On one frame all keys are the same, and nothing is said of them.
func TestAStillHasNothingOverTime(t *testing.T) {
	w, _ := newHandWindow(t)
	w.desk.Reach = mask.Onward
	assert.Equal(t, mask.Everywhere, w.desk.EditReach())
	for _, st := range desk.Steps {
		w.desk.GoToStep(st)
		assert.False(t, bannerShown(w))
		assert.Empty(t, stage.Seen(w.win.Canvas(), isReach), "nor which keys a move changes")
		assert.Empty(t, stage.Seen(w.win.Canvas(), stage.Any[*look.Notch]), st)
	}
}

func TestNeighbourKeysAreSwitched(t *testing.T) {
	w, h := newClipWindow(t, 12)
	neighbours := func() *look.Switch { return stage.Hinted[*look.Switch](t, w.win.Canvas(), "The outline at the keys") }
	assert.False(t, w.desk.HideNeighbours)
	h.PressOn(t, neighbours())
	assert.True(t, w.desk.HideNeighbours)
	h.PressOn(t, neighbours())
	assert.False(t, w.desk.HideNeighbours)
}

func TestKeysOfAMask(t *testing.T) {
	w, h := newClipWindow(t, 30)
	w.win.Canvas().Focus(w.viewer)
	w.desk.GoToFrame(20)
	c := w.win.Canvas()
	button := func(hint string) *look.Button { return stage.Hinted[*look.Button](t, c, hint) }
	before, after, add, cut := button("Previous key"), button("Next key"), button("A key of the shape"), button("Remove the key")
	way := stage.Hinted[*look.Segments](t, c, "How the mask travels")
	assert.True(t, cut.Disabled())
	h.PressOn(t, add)
	assert.Equal(t, []int{10, 20}, keyFrames(w))
	assert.True(t, add.Disabled())
	h.Key(fyne.KeyPageUp, 0)
	assert.Equal(t, 10, w.desk.Frame)
	assert.True(t, stage.Says(c, "After key 10"))
	assert.True(t, before.Disabled())
	h.PressSegment(t, way, 2, 4)
	assert.Equal(t, mask.Curved, w.desk.Mask().Keys[0].Way)
	h.PressOn(t, after)
	assert.Equal(t, 20, w.desk.Frame)
	w.desk.GoToFrame(5)
	assert.True(t, stage.Says(c, "Before the keys"))
	assert.True(t, way.Disabled())
	w.desk.EditMask("Move", func(m *study.Mask) error { m.Move(20, mask.Here, 10, 0); return nil })
	w.askKeyToCopy()
	require.True(t, w.sheets.IsOpen())
	w.sheets.Close()
	w.desk.CopyKeyHere(20)
	assert.Equal(t, []int{5, 10, 20}, keyFrames(w))
	assert.Equal(t, w.desk.Mask().At(20), w.desk.Mask().At(5))
	w.desk.GoToFrame(10)
	h.PressOn(t, cut)
	assert.Equal(t, []int{5, 20}, keyFrames(w))
	assert.Equal(t, []string{"Remove key", "Copy key"}, labels(w)[:2])
	w.desk.GoToFrame(20)
	w.desk.RemoveKeyHere()
	w.desk.GoToFrame(5)
	assert.False(t, w.desk.CanRemoveKey(), "the last one stays")
}

// Page Up and Page Down go from key to key of the value whose row has the
// keyboard; else of the open step's values.
func TestTheWayFromKeyToKeyOfAValue(t *testing.T) {
	w, h := newClipWindow(t, 30)
	w.desk.Edit("Keys", func(s *study.Study, m *study.Matte) error {
		m.Edge.Soften.SetKey(4, 1, mask.Straight)
		m.Edge.Soften.SetKey(22, 2, mask.Straight)
		m.Edge.Grow.SetKey(15, 2, mask.Straight)
		return nil
	})
	w.desk.GoToStep(desk.StepEdge)
	assert.Equal(t, []int{4, 15, 22}, w.desk.KeyFramesNear(w.column.ValueInFocus()))
	w.column.GoToKey(1)
	assert.Equal(t, 15, w.desk.Frame)
	row := stage.Row(t, w.win.Canvas(), "Soften")
	at := h.Middle(t, row)
	h.Tap(at.AddXY(row.Size().Width/2-40, 0), left)
	assert.Equal(t, []int{4, 22}, w.desk.KeyFramesNear(w.column.ValueInFocus()))
	h.Key(fyne.KeyPageDown, 0)
	assert.Equal(t, 22, w.desk.Frame)
	h.Key(fyne.KeyPageUp, 0)
	assert.Equal(t, 4, w.desk.Frame)
	h.Key(fyne.KeyK, fyne.KeyModifierControl)
	assert.Equal(t, []int{22}, w.desk.KeyFramesNear(w.column.ValueInFocus()))
	h.Key(fyne.KeyK, fyne.KeyModifierControl)
	assert.Equal(t, []int{4, 22}, w.desk.KeyFramesNear(w.column.ValueInFocus()))
	assert.Equal(t, 2.0, w.desk.Matte().Edge.Soften.At(4), "a key of the value that there was")
	w.win.Canvas().Focus(w.viewer)
	w.desk.GoToStep(desk.StepMasks)
	assert.Equal(t, []int{10}, w.desk.KeyFramesNear(w.column.ValueInFocus()))
}

// What is sampled on a frame becomes a key there once it is keyed; all three
// channels together.
func TestTheGreyIsKeyed(t *testing.T) {
	w, h := newClipWindow(t, 30)
	w.desk.GoToStep(desk.StepBase)
	settled(t, w)
	h.Tap(h.onFrame(t, 60, 40), left)
	gains := w.desk.Study().Base.At(10).Gains
	require.NotEqual(t, [3]float64{1, 1, 1}, gains)
	c := w.win.Canvas()
	id := desk.ValueID{Step: desk.StepBase, Name: desk.GreyValue}
	grey := func() desk.OverTime { return desk.ValueOf(w.desk.Study(), w.desk.Matte(), id) }
	notch := stage.Notch(t, c, id.Words())
	h.PressOn(t, notch)
	assert.Equal(t, []desk.TimedKey{{Frame: 10, Way: mask.Straight}}, grey().Keys())
	assert.Equal(t, gains, w.desk.Study().Base.At(10).Gains)
	w.desk.GoToFrame(30)
	settled(t, w)
	assert.True(t, stage.Says(c, "The grey was taken at frame 10; press on it here to see its traces."))
	h.Tap(h.onFrame(t, 100, 80), left)
	assert.True(t, stage.Says(c, "traces meet"))
	assert.Equal(t, []int{10, 30}, desk.FramesIn(grey().Keys()))
	w.desk.SampleBase(desk.PressWater)
	w.desk.GoToFrame(20)
	settled(t, w)
	h.Tap(h.onFrame(t, 20, 20), left)
	assert.Equal(t, "The grey was taken with other water", w.messages.bands[look.Caution].What())
	w.messages.Hide()
	w.desk.Undo()
	w.desk.GoToFrame(10)
	settled(t, w)
	assert.True(t, stage.Says(c, "traces meet"))
	w.desk.GoToFrame(30)
	assert.Equal(t, gains, w.desk.Study().Base.At(10).Gains)
	assert.NotEqual(t, gains, w.desk.Study().Base.At(30).Gains)
	h.Tap(h.Middle(t, notch), right)
	h.PressOn(t, stage.Find(t, c, "menu's line", func(t *canvas.Text) bool { return t.Text == "Make constant" }))
	assert.Nil(t, c.Overlays().Top())
	assert.Equal(t, "Grey: constant", labels(w)[0])
	assert.Empty(t, grey().Keys())
}

// assertColumnFits checks that nothing of the column has to be scrolled to.
func assertColumnFits(t testing.TB, w *window) {
	t.Helper()
	scroll := stage.Find(t, w.win.Canvas(), "column", func(s *container.Scroll) bool {
		return s.Direction == container.ScrollVerticalOnly && s.Size().Height > 200
	})
	assert.LessOrEqual(t, scroll.Content.MinSize().Height, scroll.Size().Height, w.desk.Step)
	assert.LessOrEqual(t, scroll.Content.MinSize().Width, scroll.Size().Width, w.desk.Step)
}

// On the smallest window of the plan nothing of the column scrolls, with four
// masks in the list.
func TestTheColumnDoesNotScroll(t *testing.T) {
	w, _ := newClipWindow(t, 12)
	w.win.Resize(fyne.NewSize(1280, 800-28)) // this driver gives the menu no room
	w.desk.Reach = mask.Everywhere
	for range 3 {
		w.desk.DuplicateMask()
	}
	require.Len(t, w.desk.Matte().Masks, 4)
	for _, st := range desk.Steps {
		w.desk.GoToStep(st)
		assertColumnFits(t, w)
	}
}

// Nor where Pick says what dabs are for, and how many are for masks.
func TestTheColumnDoesNotScrollWithDabsForMasks(t *testing.T) {
	w, _ := newClipWindow(t, 12)
	w.win.Resize(fyne.NewSize(1280, 800-28))
	w.desk.SetDabUse(desk.ForMasks)
	w.desk.AddDab(study.Dab{X: 80, Y: 60, Radius: 4})
	w.desk.GoToStep(desk.StepPick)
	require.True(t, stage.Says(w.win.Canvas(), "1 keep, 0 drop dabs for masks"))
	assertColumnFits(t, w)
}

// Nor where a mask of four searches an edge, found or not: there is a button more, and
// words of its own.
func TestTheColumnDoesNotScrollWhereAnEdgeIsLost(t *testing.T) {
	w, h := newClipWindow(t, 12)
	w.win.Resize(fyne.NewSize(1280, 800-28))
	for range 3 {
		w.desk.DuplicateMask()
	}
	w.desk.GoToStep(desk.StepMasks)
	w.desk.EditMask("Away", func(m *study.Mask) error {
		m.Search = 12
		m.Move(w.desk.Frame, mask.Everywhere, 5000, 0)
		return nil
	})
	assert.NotNil(t, h.Button(t, desk.OutlineFromFound))
	stage.Eventually(t, "the words", func() bool { return stage.Says(w.win.Canvas(), "No edge found") })
	assertColumnFits(t, w)
}

// A key makes the edge that was found the outline; where there is none to take it does
// nothing, and says nothing.
func TestTheFoundEdgeIsTakenByAKey(t *testing.T) {
	w := newTestWindowOn(t, stage.Discs(t, 1))
	h := newHand(w)
	if w.desk.Matte() == nil {
		w.desk.NewMatte()
	}
	w.desk.AddMask(study.Keep, []mask.Point{{X: 155, Y: 50}, {X: 330, Y: 50}, {X: 330, Y: 220}, {X: 155, Y: 220}})
	w.desk.GoToStep(desk.StepMasks)
	w.desk.ToggleMask()
	before := w.desk.Study()
	h.Key(fyne.KeyF, 0)
	assert.Same(t, before, w.desk.Study())
	w.desk.ToggleMask()
	stage.Eventually(t, "an outline to take", w.desk.CanTakeOutline)
	h.Key(fyne.KeyF, 0)
	assert.Equal(t, desk.OutlineFromFound, labels(w)[0])
	assert.True(t, w.desk.Mask().Keys[0].Tight)
	h.Key(fyne.KeyZ, fyne.KeyModifierControl)
	assert.False(t, w.desk.Mask().Keys[0].Tight)
	assert.Len(t, w.desk.Mask().Keys[0].Points, 4)
}

// Undoing shows the frame on which something comes back.
func TestUndoGoesToTheFrameThatChanges(t *testing.T) {
	w, h := newClipWindow(t, 40)
	w.desk.GoToFrame(20)
	dragVertex(t, w, h, 1, 12, 8)
	w.desk.GoToFrame(30)
	dragVertex(t, w, h, 1, 5, 8)
	w.desk.GoToFrame(5)
	h.Key(fyne.KeyZ, fyne.KeyModifierControl)
	assert.Equal(t, 30, w.desk.Frame, "before the first key nothing changes")
	h.Key(fyne.KeyZ, fyne.KeyModifierControl)
	assert.Equal(t, 30, w.desk.Frame, "it can be seen from here")
	w.desk.GoToFrame(3)
	h.Key(fyne.KeyZ, fyne.KeyModifierControl|fyne.KeyModifierShift)
	assert.Equal(t, 20, w.desk.Frame)
	assert.Equal(t, []int{10, 20}, keyFrames(w))
}

// BenchmarkDragMoveOverTime is BenchmarkDragMove on a clip: a vertex on its way
// between two keys, with all that shows keys.
func BenchmarkDragMoveOverTime(b *testing.B) {
	w, _ := newClipWindow(b, 40)
	w.desk.GoToFrame(20)
	v := 0.0
	for b.Loop() {
		v += 0.001
		w.desk.SlideMatte("Move vertex", study.Moved, func(m *study.Matte) error {
			return m.Masks[0].MovePoint(20, mask.Here, 1, v, v)
		})
	}
}

// Nor does it where a trial grades and the numbers have given way to the separation.
func TestTheColumnDoesNotScrollUnderATrial(t *testing.T) {
	w, _ := newHandWindow(t)
	w.win.Resize(fyne.NewSize(1280, 800-28))
	w.desk.EditMatte("x", func(m *study.Matte) error { m.Trial.Slope[0].Fix(1.4); return nil })
	w.desk.ShowSeparation = true
	for _, st := range desk.Steps {
		w.desk.GoToStep(st)
		assertColumnFits(t, w)
	}
}
