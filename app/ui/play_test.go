package ui

import (
	"context"
	"os"
	"slices"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
)

// watched are the frames of the pictures that are shown from now on.
func watched(w *window) *[]int {
	all := new([]int)
	shown := w.viewer.OnShown
	w.viewer.OnShown = func() {
		shown()
		*all = append(*all, w.preview.last.Load().request.frame)
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
		h.key(fyne.KeySpace, 0)
		require.True(t, w.plays())
	})
	eventually(t, "the end", func() bool { return !w.plays() })
	took := time.Since(begun)
	eventually(t, "rest", w.fresh)
	fyne.DoAndWait(func() {
		assert.Equal(t, 24, w.desk.Frame)
		assert.True(t, slices.IsSorted(*frames), "%v", *frames)
		assert.Equal(t, 24, (*frames)[len(*frames)-1])
		assert.GreaterOrEqual(t, took, 23*40*time.Millisecond, "no faster than the clip")
		assert.Empty(t, w.status.playNow)
	})
}

func TestPlayingGoesRoundThePartInWork(t *testing.T) {
	w := newWalkWindow(t, 24)
	h := newHand(w)
	var frames *[]int
	fyne.DoAndWait(func() {
		w.setEnds(5, 8)
		w.turnLoop()
		frames = watched(w)
		h.key(fyne.KeySpace, shift)
	})
	eventually(t, "some rounds", func() bool { return len(*frames) > 12 })
	fyne.DoAndWait(func() {
		h.key(fyne.KeySpace, 0)
		require.False(t, w.plays())
		for _, n := range (*frames)[1:] {
			assert.True(t, n >= 5 && n <= 8 || n == 1, "%v", *frames)
		}
	})
	eventually(t, "rest", w.fresh)
}

// What is asked for while a clip plays takes it over, or ends it.
func TestPlayingAndOtherActs(t *testing.T) {
	w := newWalkWindow(t, 24)
	h := newHand(w)
	fyne.DoAndWait(func() {
		w.turnLoop()
		h.key(fyne.KeySpace, 0)
		h.key(fyne.Key2, 0)
		assert.True(t, w.plays(), "another view goes on")
		w.viewer.Zoom(200)
	})
	eventually(t, "the other view", func() bool {
		s := w.preview.last.Load()
		return s.request.play != nil && s.request.left == w.desk.View && s.request.vp.Zoom == 2
	})
	for name, do := range map[string]func(){
		"a frame":   func() { h.key(fyne.KeyPeriod, 0) },
		"scrubbing": func() { h.move(onRuler(w, 9)); h.press(1); h.release(false) },
		"a slider": func() {
			w.desk.SlideMatte("Test", study.Moved, func(m *study.Matte) error { m.Note = "x"; return nil })
		},
	} {
		fyne.DoAndWait(func() {
			if !w.plays() {
				w.turnPlay(false)
			}
			do()
			assert.False(t, w.plays(), name)
			w.desk.CancelDrag()
		})
	}
	fyne.DoAndWait(func() {
		w.turnPlay(false)
		h.key(fyne.KeyEscape, 0)
		assert.False(t, w.plays(), "Esc ends it")
		w.turnPlay(false)
	})
	eventually(t, "it plays", func() bool { return w.preview.last.Load().request.play == w.playing })
	fyne.DoAndWait(func() { w.openSample() })
	eventually(t, "a still", func() bool { return !w.several() && !w.plays() && w.fresh() })
}

// Frames that cannot be read do not end it.
func TestPlayingGoesOverWhatCannotBeRead(t *testing.T) {
	w := newWalkWindow(t, 12, 5, 6)
	for _, n := range []int{8, 9} {
		require.NoError(t, os.Remove(w.desk.Work.Clip.Path(n)))
	}
	fyne.DoAndWait(func() { w.turnPlay(false) })
	eventually(t, "the end", func() bool { return !w.plays() })
	eventually(t, "rest", w.fresh)
	assert.Equal(t, 12, w.desk.Frame)
}

// A flashingSource is black and white by turns.
type flashingSource struct{}

func (flashingSource) Frame(_ context.Context, n int) (*colour.Image, error) {
	m := colour.NewImage(160, 96)
	for _, p := range []*colour.Plane{&m.R, &m.G, &m.B} {
		for i := range p.Pix {
			p.Pix[i] = float32(n % 2)
		}
	}
	return m, nil
}

// What flashes more than three times a second is shown slowed, by the clip's own
// time, however fast the pictures come; and the row says so.
func TestPlayingIsSlowedWhereItWouldFlash(t *testing.T) {
	w := newWalkWindow(t, 3)
	v := w.viewer
	p := &preview{viewer: v, failed: func(_ int, err error) { t.Error(err) }}
	all := make([]int, 50)
	for i := range all {
		all[i] = i
	}
	var vp view.Viewport
	fyne.DoAndWait(func() {
		b := v.Buffer().Bounds()
		vp = view.Viewport{W: 160, H: 96, VW: b.Dx(), VH: b.Dy()}.Fit()
	})
	g := newPlaying(newPlayClock(all, [2]int{0, 49}, 0, [2]int{25, 1}, false, false, time.Now().Add(-time.Hour)), 1)
	s := request{renderer: render.New(flashingSource{}, 0, render.DefaultCache), study: w.desk.Study(), vp: vp, left: view.Frame, right: view.Frame, divider: -1, play: g}
	for i := range all {
		require.True(t, p.playOne(context.Background(), s, taken{i, i, time.Now()}, 1))
		switch slowed := p.last.Load().slowed; {
		case i <= 6:
			assert.False(t, slowed, "%d: three flashes may be", i)
		case i > 7:
			assert.True(t, slowed, "%d", i)
		}
	}
	fyne.DoAndWait(func() {
		w.playing = g
		w.playShown(p.last.Load())
		assert.Contains(t, w.status.playNow, "three times a second")
		w.endPlay()
	})
}
