package ui

import (
	"os"
	"slices"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/stage"
)

// watched are the frames of the pictures that are shown from now on.
func watched(w *window) *[]int {
	all := new([]int)
	shown := w.viewer.OnShown
	w.viewer.OnShown = func() {
		shown()
		*all = append(*all, w.preview.Last.Load().Request.Frame)
	}
	return all
}

func TestPlayingGoesToTheEndInTime(t *testing.T) {
	w := newWalkWindow(t, 24)
	h := newHand(w)
	var frames *[]int
	begun := time.Now()
	fyne.DoAndWait(func() {
		frames = watched(w)
		w.win.Canvas().Focus(w.viewer)
		h.Key(fyne.KeySpace, 0)
		require.True(t, w.desk.Plays())
	})
	stage.Eventually(t, "the end", func() bool { return !w.desk.Plays() })
	took := time.Since(begun)
	stage.Eventually(t, "rest", w.desk.Fresh)
	fyne.DoAndWait(func() {
		assert.Equal(t, 24, w.desk.Frame)
		assert.True(t, slices.IsSorted(*frames), "%v", *frames)
		assert.Equal(t, 24, (*frames)[len(*frames)-1])
		assert.GreaterOrEqual(t, took, 23*40*time.Millisecond, "no faster than the clip")
		assert.NotContains(t, w.status.Says(), "playing")
	})
}

func TestPlayingGoesRoundThePartInWork(t *testing.T) {
	w := newWalkWindow(t, 24)
	h := newHand(w)
	var frames *[]int
	fyne.DoAndWait(func() {
		w.desk.SetEnds(5, 8)
		w.time.Player.TurnLoop()
		frames = watched(w)
		h.Key(fyne.KeySpace, shift)
	})
	stage.Eventually(t, "some rounds", func() bool { return len(*frames) > 12 })
	fyne.DoAndWait(func() {
		h.Key(fyne.KeySpace, 0)
		require.False(t, w.desk.Plays())
		for _, n := range (*frames)[1:] {
			assert.True(t, n >= 5 && n <= 8 || n == 1, "%v", *frames)
		}
	})
	stage.Eventually(t, "rest", w.desk.Fresh)
}

// What is asked for while a clip plays takes it over, or ends it.
func TestPlayingAndOtherActs(t *testing.T) {
	w := newWalkWindow(t, 24)
	h := newHand(w)
	fyne.DoAndWait(func() {
		w.time.Player.TurnLoop()
		h.Key(fyne.KeySpace, 0)
		h.Key(fyne.Key2, 0)
		assert.True(t, w.desk.Plays(), "another view goes on")
		w.viewer.Zoom(200)
	})
	stage.Eventually(t, "the other view", func() bool {
		s := w.preview.Last.Load()
		return s.Request.Play != nil && s.Request.Left == w.desk.View && s.Request.Vp.Zoom == 2
	})
	for name, do := range map[string]func(){
		"a frame":   func() { h.Key(fyne.KeyPeriod, 0) },
		"scrubbing": func() { h.Move(onRuler(w, 9)); h.Press(1); h.Release(false) },
		"a slider": func() {
			w.desk.SlideMatte("Test", study.Moved, func(m *study.Matte) error { m.Note = "x"; return nil })
		},
	} {
		fyne.DoAndWait(func() {
			if !w.desk.Plays() {
				w.time.Player.Turn(false)
			}
			do()
			assert.False(t, w.desk.Plays(), name)
			w.desk.CancelDrag()
		})
	}
	fyne.DoAndWait(func() {
		w.time.Player.Turn(false)
		h.Key(fyne.KeyEscape, 0)
		assert.False(t, w.desk.Plays(), "Esc ends it")
		w.time.Player.Turn(false)
	})
	stage.Eventually(t, "it plays", func() bool { return w.preview.Last.Load().Request.Play == w.desk.Playing })
	fyne.DoAndWait(func() { w.files.OpenSample() })
	stage.Eventually(t, "a still", func() bool { return !w.desk.Several() && !w.desk.Plays() && w.desk.Fresh() })
}

// Frames that cannot be read do not end it.
func TestPlayingGoesOverWhatCannotBeRead(t *testing.T) {
	w := newWalkWindow(t, 12, 5, 6)
	for _, n := range []int{8, 9} {
		require.NoError(t, os.Remove(w.desk.Work.Clip.Path(n)))
	}
	fyne.DoAndWait(func() { w.time.Player.Turn(false) })
	stage.Eventually(t, "the end", func() bool { return !w.desk.Plays() })
	stage.Eventually(t, "rest", w.desk.Fresh)
	assert.Equal(t, 12, w.desk.Frame)
}
