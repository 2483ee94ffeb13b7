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
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/sheets"
	"halocline/app/ui/stage"
	"halocline/app/ui/timebar"
	"halocline/app/ui/timeline"
	"halocline/mask"
)

// writeSequence writes frames of a bright square that walks to the right over a
// grey ground; those that skip names are left out.
func writeSequence(t testing.TB, count int, skip ...int) (folder string) {
	t.Helper()
	folder = t.TempDir()
	left := map[int]bool{}
	for _, n := range skip {
		left[n] = true
	}
	for n := 1; n <= count; n++ {
		if left[n] {
			continue
		}
		m := image.NewRGBA(image.Rect(0, 0, 160, 96))
		for y := range 96 {
			for x := range 160 {
				c := color.RGBA{90, 100, 110, 255}
				if x >= 20+3*n && x < 60+3*n && y >= 30 && y < 70 {
					c = color.RGBA{220, 150, 120, 255}
				}
				m.SetRGBA(x, y, c)
			}
		}
		f, err := os.Create(filepath.Join(folder, fmt.Sprintf("walk.%04d.png", n)))
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, m))
		require.NoError(t, f.Close())
	}
	return folder
}

// newWalkWindow is a window on a sequence, with a matte that has one mask of a
// key at frames 2 and 12.
func newWalkWindow(t testing.TB, count int, skip ...int) *window {
	t.Helper()
	w := newTestWindow(t)
	w.files.Open(writeSequence(t, count, skip...))
	stage.Eventually(t, "the clip", func() bool { return w.desk.Several() && w.desk.Fresh() })
	fyne.DoAndWait(func() {
		w.desk.NewMatte()
		w.desk.AddMask(study.Keep, []mask.Point{{X: 20, Y: 20}, {X: 70, Y: 20}, {X: 70, Y: 80}, {X: 20, Y: 80}})
		w.desk.EditMask("Keys", func(m *study.Mask) error {
			require.True(t, m.MoveKey(1, 2))
			require.True(t, m.CopyKey(2, 12))
			return nil
		})
	})
	return w
}

// areaOf is the time area that can be seen.
func areaOf(w *window) (found *timeline.Area) {
	stage.Visit(w.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, shown bool) {
		if a, ok := o.(*timeline.Area); ok && shown {
			found = a
		}
	})
	return found
}

// onRuler is where a frame stands on the ruler, in the window.
func onRuler(w *window, frame float64) fyne.Position {
	area := areaOf(w)
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(area)
	row := area.Rows()[0]
	all := w.desk.Frames()
	share := float32((frame - float64(all[0])) / float64(all[len(all)-1]-all[0]))
	return at.AddXY(row.X+share*row.Width, 4)
}

func onLaneRow(w *window, frame float64, lane int) fyne.Position {
	return onRuler(w, frame).AddXY(0, 24+24*float32(lane))
}

func TestAStillHasNoTimeArea(t *testing.T) {
	w := newTestWindow(t)
	assert.False(t, w.time.Object().Visible())
	still := w.viewer.Size().Height
	w.files.Open(writeSequence(t, 3))
	stage.Eventually(t, "the clip", func() bool { return w.desk.Several() && w.desk.Fresh() })
	fyne.DoAndWait(func() {
		assert.True(t, w.time.Object().Visible())
		assert.InDelta(t, still-72, w.viewer.Size().Height, 0.5, "ruler and strip")
	})
}

func TestScrubbingShowsTheNewestFrame(t *testing.T) {
	w := newWalkWindow(t, 24)
	h := newHand(w)
	fyne.DoAndWait(func() {
		h.Move(onRuler(w, 3))
		h.Press(desktop.MouseButtonPrimary)
		for n := 4; n <= 20; n++ {
			h.Move(onRuler(w, float64(n)))
			require.Equal(t, n, w.desk.Frame)
		}
	})
	stage.Eventually(t, "the newest frame", func() bool { return w.preview.Last.Load().Request.Frame == 20 })
	fyne.DoAndWait(func() {
		h.Key(fyne.KeyEscape, 0)
		h.Release(false)
		assert.Equal(t, 1, w.desk.Frame, "Esc: where it was")
	})
	fyne.DoAndWait(func() { h.Tap(onRuler(w, 9), desktop.MouseButtonPrimary) })
	stage.Eventually(t, "rest", w.desk.Fresh)
	assert.Equal(t, 9, w.desk.Found.Frame)
}

func laneFrames(w *window) (all []int) {
	for _, k := range w.desk.Mask().Keys {
		all = append(all, k.Frame)
	}
	return all
}

func TestKeysAreEditedOnTheLane(t *testing.T) {
	w := newWalkWindow(t, 24)
	h := newHand(w)
	edits := func() int { return len(w.desk.Session.UndoLabels()) }
	fyne.DoAndWait(func() {
		was := edits()
		h.Drag(desktop.MouseButtonPrimary, onLaneRow(w, 12, 0), onLaneRow(w, 14, 0), onLaneRow(w, 18, 0))
		assert.Equal(t, []int{2, 18}, laneFrames(w))
		assert.Equal(t, was+1, edits(), "one drag, one edit")
		h.Key(fyne.KeyZ, ctrl)
		assert.Equal(t, []int{2, 12}, laneFrames(w))

		h.Stage.Mods = ctrl
		h.Drag(desktop.MouseButtonPrimary, onLaneRow(w, 2, 0), onLaneRow(w, 7, 0))
		h.Stage.Mods = 0
		assert.Equal(t, []int{2, 7, 12}, laneFrames(w), "copied with Ctrl")

		h.TapTwice(onLaneRow(w, 20, 0))
		assert.Equal(t, []int{2, 7, 12, 20}, laneFrames(w), "made by a double click")

		h.Tap(onLaneRow(w, 12, 0), desktop.MouseButtonPrimary)
		assert.Equal(t, 12, w.desk.Frame, "gone to")
		h.Key(fyne.KeyDelete, 0)
		assert.Equal(t, []int{2, 7, 20}, laneFrames(w))

		h.Drag(desktop.MouseButtonPrimary, onLaneRow(w, 7, 0), onLaneRow(w, 20, 0))
		assert.Equal(t, []int{2, 20}, laneFrames(w), "onto another: in its place")
		h.Tap(onLaneRow(w, 2, 0), desktop.MouseButtonPrimary)
		h.Key(fyne.KeyDelete, 0)
		h.Key(fyne.KeyPageDown, 0)
		h.Key(fyne.KeyDelete, 0)
		assert.Equal(t, []int{20}, laneFrames(w), "the last one stays")
		assert.True(t, w.messages.Showing())
	})
}

func TestTheEndsOfThePartInWork(t *testing.T) {
	w := newWalkWindow(t, 24)
	h := newHand(w)
	fyne.DoAndWait(func() {
		w.desk.GoToFrame(5)
		h.Key(fyne.KeyLeftBracket, ctrl)
		w.desk.GoToFrame(15)
		h.Key(fyne.KeyRightBracket, ctrl)
		assert.Equal(t, [2]int{5, 15}, w.desk.Ends)
		assert.True(t, w.desk.PartOnly())
		w.desk.GoToFrame(20)
		h.Key(fyne.KeyLeftBracket, ctrl)
		assert.Equal(t, [2]int{20, 20}, w.desk.Ends)
		w.desk.WholeClip()
		assert.False(t, w.desk.PartOnly())
		h.Drag(desktop.MouseButtonPrimary, onRuler(w, 24).AddXY(0, 14), onRuler(w, 10).AddXY(0, 14))
		assert.Equal(t, [2]int{1, 10}, w.desk.Ends)
	})
}

func TestAFrameThatIsGoneIsMarked(t *testing.T) {
	w := newWalkWindow(t, 6)
	path := w.desk.Work.Clip.Path(4)
	require.NoError(t, os.Rename(path, path+".away"))
	fyne.DoAndWait(func() { w.desk.GoToFrame(4) })
	stage.Eventually(t, "the failure", w.messages.Showing)
	assert.True(t, w.time.Unread(4))
	require.NoError(t, os.Rename(path+".away", path))
	fyne.DoAndWait(func() {
		w.desk.GoToFrame(5)
		w.desk.GoToFrame(4)
	})
	stage.Eventually(t, "the frame", func() bool { return w.preview.Last.Load().Request.Frame == 4 && !w.time.Unread(4) })
}

func TestLanesAreTheMasksOfTheMatte(t *testing.T) {
	w := newWalkWindow(t, 6)
	fyne.DoAndWait(func() {
		w.desk.AddMask(study.Drop, []mask.Point{{X: 1, Y: 1}, {X: 30, Y: 1}, {X: 1, Y: 30}})
		lanes := timebar.Lanes(w.desk)
		require.Len(t, lanes, 2)
		assert.Equal(t, timeline.Drop, lanes[1].Kind)
		assert.True(t, lanes[1].Chosen)
		h := newHand(w)
		h.Tap(onLaneRow(w, 1, 0).AddXY(-80, 0), desktop.MouseButtonPrimary)
		assert.Equal(t, lanes[0].ID, w.desk.MaskID)
	})
}

// A sequence without a name of its own, 000001.png on, is called as its folder,
// by a study as by an export.
func TestAStudyIsNamedAsItsClip(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "transect")
	require.NoError(t, os.Rename(writeSequence(t, 2), folder))
	for n := 1; n <= 2; n++ {
		require.NoError(t, os.Rename(filepath.Join(folder, fmt.Sprintf("walk.%04d.png", n)), filepath.Join(folder, fmt.Sprintf("%06d.png", n))))
	}
	w := newTestWindowOn(t, folder)
	fyne.DoAndWait(func() {
		dir, name := sheets.SuggestedPlace(w.desk)
		assert.Equal(t, []string{folder, "transect.halocline"}, []string{dir, name})
	})
}
