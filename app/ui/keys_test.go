package ui

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/look"
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
	if w.bench.matte() == nil {
		w.newMatte()
	}
	w.goToFrame(10)
	w.addMask(study.Keep, []mask.Point{{X: 40, Y: 30}, {X: 120, Y: 30}, {X: 120, Y: 90}, {X: 40, Y: 90}})
	w.openStep(stepMasks)
	settled(t, w)
	return w, newHand(w)
}

// settled waits until what is found belongs to what is chosen.
func settled(t testing.TB, w *window) {
	t.Helper()
	eventually(t, "rest", func() bool {
		s := w.preview.last.Load()
		return w.fresh() && s != nil && s.shot.study == w.bench.study() && s.shot.frame == w.bench.frame
	})
}

func keyFrames(w *window) []int { return framesOf(&w.bench.mask().Track) }

// dragVertex drags a vertex of the chosen mask by picture pixels.
func dragVertex(t testing.TB, w *window, h *hand, i int, dx, dy float64) {
	t.Helper()
	s, _ := w.maskTool().shape()
	p := s.Points[i]
	h.drag(left, h.onFrame(t, p.X, p.Y), h.onFrame(t, p.X+dx/2, p.Y+dy/2), h.onFrame(t, p.X+dx, p.Y+dy))
}

// pressSegment presses the ith of n segments of much the same width.
func (h *hand) pressSegment(t testing.TB, s *look.Segments, i, n int) {
	t.Helper()
	at := h.middle(t, s)
	h.tap(at.AddXY(s.Size().Width*(float32(2*i+1)/float32(2*n)-0.5), 0), left)
}

// typeInRow types a value's number.
func (h *hand) typeInRow(t testing.TB, r *look.ValueRow, text string) {
	t.Helper()
	at := h.middle(t, r)
	h.tap(at.AddXY(r.Size().Width/2-40, 0), left)
	h.write(text)
	h.key(fyne.KeyReturn, 0)
}

func TestAVertexMovedBetweenKeysMakesAKey(t *testing.T) {
	w, h := newClipWindow(t, 40)
	assert.Equal(t, []int{10}, keyFrames(w), "a new mask's first key is at the frame in sight")
	w.goToFrame(20)
	dragVertex(t, w, h, 1, 12, 8)
	assert.Equal(t, []int{10, 20}, keyFrames(w))
	m := w.bench.mask()
	assert.Equal(t, mask.Point{X: 120, Y: 30}, m.At(10).Points[1])
	assert.InDelta(t, 132, m.At(20).Points[1].X, 0.5)
	assert.InDelta(t, 126, m.At(15).Points[1].X, 0.5, "half the way")
	assert.Equal(t, "‘keep’: key made at frame 20", w.status.doing.Text())
	assert.Equal(t, "Move vertex", labels(w)[0])

	w.goToFrame(15)
	assert.NotContains(t, w.status.doing.Text(), "made")
	h.key(fyne.KeyEscape, 0)
	w.win.Canvas().Focus(w.viewer)
	h.key(fyne.KeyTab, 0)
	h.key(fyne.KeyRight, 0)
	assert.Equal(t, []int{10, 15, 20}, keyFrames(w), "a nudge makes one too")

	h.move(h.onFrame(t, 80, 60))
	h.key(fyne.KeyZ, fyne.KeyModifierControl)
	h.key(fyne.KeyZ, fyne.KeyModifierControl)
	assert.Equal(t, []int{10}, keyFrames(w))
}

func TestADragThatIsGivenUpMakesNoKey(t *testing.T) {
	w, h := newClipWindow(t, 20)
	w.goToFrame(15)
	h.move(h.onFrame(t, 120, 30))
	h.press(left)
	h.move(h.onFrame(t, 130, 36))
	assert.Equal(t, []int{10, 15}, keyFrames(w), "while it is dragged")
	h.key(fyne.KeyEscape, 0)
	h.release(false)
	assert.Equal(t, []int{10}, keyFrames(w))
	h.tap(h.onFrame(t, 120, 30), left)
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
		t.Run(reachNames[tt.reach], func(t *testing.T) {
			w, h := newClipWindow(t, 40)
			w.editMask("Keys", func(m *study.Mask) error {
				m.Move(20, mask.Here, 10, 0)
				m.Change(30, mask.Here, func(*mask.Key) {})
				return nil
			})
			w.goToFrame(20)
			h.pressSegment(t, w.masksPanel().time.reach, int(tt.reach), 3)
			require.Equal(t, tt.reach, w.bench.reach)
			require.Equal(t, tt.reach != mask.Here, w.marks.banner.all.Visible())
			dragVertex(t, w, h, 0, 10, 0)
			var got []place
			for _, k := range w.bench.mask().Keys {
				got = append(got, place{k.Frame, int(k.Points[0].X + 0.5)})
			}
			assert.Equal(t, tt.want, got)

			before := w.bench.mask().At(30).Inner
			h.typeInRow(t, w.masksPanel().inner, "9")
			reached := tt.reach != mask.Here
			assert.Equal(t, 9.0, w.bench.mask().At(20).Inner)
			assert.Equal(t, reached, w.bench.mask().At(30).Inner != before)
			if reached {
				h.pressOn(t, h.button(t, "Only this key"))
				assert.Equal(t, mask.Here, w.bench.reach)
				assert.False(t, w.marks.banner.all.Visible())
			}
		})
	}
}

// On one frame all keys are the same, and nothing is said of them.
func TestAStillHasNothingOverTime(t *testing.T) {
	w, _ := newHeldWindow(t)
	w.bench.reach = mask.Onward
	assert.Equal(t, mask.Everywhere, w.reach())
	for _, st := range steps {
		w.openStep(st)
		assert.False(t, w.marks.banner.all.Visible())
		assert.False(t, w.masksPanel().time.all.Visible() && st == stepMasks)
		for _, k := range w.keyControls {
			assert.False(t, k.Visible(), k.id.label())
		}
	}
}

// The outline at the neighbour keys and the vertex's way are drawn, and can be
// switched off.
func TestNeighbourKeysAreDrawn(t *testing.T) {
	w, h := newClipWindow(t, 30)
	w.editMask("Keys", func(m *study.Mask) error {
		m.Move(20, mask.Here, 24, 10)
		return nil
	})
	w.goToFrame(15)
	w.maskTool().vertex = 2
	draw := func() []uint8 {
		m := image.NewRGBA(image.Rect(0, 0, w.viewer.Viewport().VW, w.viewer.Viewport().VH))
		w.maskTool().Draw(m, w.viewer.Viewport(), 1)
		return m.Pix
	}
	with := draw()
	e := w.maskTool().drawn
	require.Len(t, e.ghosts, 2)
	assert.Equal(t, []int{10, 20}, []int{e.ghosts[0].frame, e.ghosts[1].frame})
	assert.True(t, e.ghosts[0].before)
	require.Len(t, e.path, 11, "a step for every frame from key to key")
	assert.Equal(t, mask.Point{X: 132, Y: 95}, e.path[5].At)
	assert.Equal(t, with, draw())
	h.pressOn(t, w.masksPanel().time.ghosts)
	assert.NotEqual(t, with, draw())
	assert.Empty(t, w.maskTool().drawn.ghosts)
	h.pressOn(t, w.masksPanel().time.ghosts)
	assert.Equal(t, with, draw())
	w.bench.slideMatte("Move mask", look.Moved, func(m *study.Matte) error {
		m.Masks[0].Move(15, mask.Everywhere, 5, 0)
		return nil
	})
	draw()
	assert.Equal(t, mask.Point{X: 137, Y: 95}, w.maskTool().drawn.path[5].At, "as the drag has it")
	w.bench.cancelDrag()
}

func TestKeysOfAMask(t *testing.T) {
	w, h := newClipWindow(t, 30)
	w.win.Canvas().Focus(w.viewer)
	w.goToFrame(20)
	time := w.masksPanel().time
	assert.True(t, time.cut.Disabled())
	h.pressOn(t, time.add)
	assert.Equal(t, []int{10, 20}, keyFrames(w))
	assert.True(t, time.add.Disabled())
	h.key(fyne.KeyPageUp, 0)
	assert.Equal(t, 10, w.bench.frame)
	assert.Equal(t, "After key 10", time.leading.Text())
	assert.True(t, time.before.Disabled())
	h.pressSegment(t, time.way, 2, 3)
	assert.Equal(t, mask.Curved, w.bench.mask().Keys[0].Way)
	h.pressOn(t, time.after)
	assert.Equal(t, 20, w.bench.frame)
	w.goToFrame(5)
	assert.Equal(t, "Before the keys", time.leading.Text())
	assert.True(t, time.way.Disabled())
	w.editMask("Move", func(m *study.Mask) error { m.Move(20, mask.Here, 10, 0); return nil })
	w.askKeyToCopy()
	require.NotNil(t, w.sheet)
	w.sheet.close()
	w.copyKeyHere(20)
	assert.Equal(t, []int{5, 10, 20}, keyFrames(w))
	assert.Equal(t, w.bench.mask().At(20), w.bench.mask().At(5))
	w.goToFrame(10)
	h.pressOn(t, time.cut)
	assert.Equal(t, []int{5, 20}, keyFrames(w))
	assert.Equal(t, []string{"Remove key", "Copy key"}, labels(w)[:2])
	w.goToFrame(20)
	w.removeKeyHere()
	w.goToFrame(5)
	assert.False(t, w.canRemoveKey(), "the last one stays")
}

func TestFramesOfAMask(t *testing.T) {
	w, h := newClipWindow(t, 30)
	time := w.masksPanel().time
	assert.Equal(t, []float64{1, 30}, []float64{time.in.Value(), time.out.Value()})
	typeIn := func(n *look.Number, text string) {
		h.pressOn(t, n)
		h.write(text)
		h.key(fyne.KeyReturn, 0)
	}
	typeIn(time.in, "12")
	typeIn(time.out, "20")
	m := w.bench.mask()
	assert.False(t, m.Works(11))
	assert.True(t, m.Works(12))
	assert.False(t, m.Works(21))
	typeIn(time.in, "25")
	assert.Equal(t, study.Bound{Set: true, Frame: 25}, w.bench.mask().Out, "the other end gives way")
	typeIn(time.out, "30")
	typeIn(time.in, "1")
	assert.Equal(t, study.Bound{}, w.bench.mask().In)
	assert.Equal(t, study.Bound{}, w.bench.mask().Out)
	typeIn(time.in, "31")
	assert.NotEmpty(t, time.in.Problem())
}
