package ui

import (
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/shot"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/app/ui/timebar"
	"halocline/app/ui/timeline"
	"halocline/mask"
	"halocline/selection"
)

func judgedAll(w *window) func() bool {
	return func() bool {
		return w.desk.Verdict().Of > 0 && w.desk.Verdict().Left == 0 && w.desk.Verdict().Line != nil
	}
}

// A mask that follows the square, but for one frame where it is far off: that one
// is the worst, it is gone to by a key, mended, and is no longer.
func TestTheStripFindsTheWorstFrameAndSeesItMended(t *testing.T) {
	w := newTestWindow(t)
	w.files.Open(writeSequence(t, 24))
	stage.Eventually(t, "the clip", func() bool { return w.desk.Several() && w.desk.Fresh() })
	h := newHand(w)
	around := func(n int, off float64) study.MaskKey {
		x := float64(20+3*n) + off
		return study.MaskKey{Frame: n, Inner: 1, Outer: 2, Opacity: 1, Points: []mask.Point{{X: x - 8, Y: 22}, {X: x + 48, Y: 22}, {X: x + 48, Y: 78}, {X: x - 8, Y: 78}}}
	}
	fyne.DoAndWait(func() {
		w.desk.NewMatte()
		w.desk.EditMatte("Pick", func(m *study.Matte) error {
			m.Pick.Model = selection.HSL
			r := m.Pick.Limits[2].Value
			r.From, r.To = 0.5, 1
			m.Pick.Limits[2].Off, m.Pick.Limits[2].Value = false, r
			return nil
		})
		w.desk.AddMask(study.Keep, around(1, 0).Points)
		w.desk.EditMask("Keys", func(m *study.Mask) error {
			for _, k := range []study.MaskKey{around(1, 0), around(12, 0), around(13, 40), around(14, 0), around(24, 0)} {
				m.SetKey(k)
			}
			return nil
		})
	})
	stage.Eventually(t, "the clip judged", judgedAll(w))
	fyne.DoAndWait(func() {
		require.Len(t, w.notes().Notes, 24)
		require.NotEmpty(t, w.notes().Flags, "%+v", w.desk.Verdict().Findings)
		h.Key(fyne.KeyW, 0)
		assert.Equal(t, 13, w.desk.Frame)
		w.win.Resize(fyne.NewSize(1920, 1080)) // all of Judge is seen
		assert.Contains(t, said(w), "13")
		h.Key(fyne.KeyW, shift)
		require.True(t, w.sheets.IsOpen())
		w.sheets.Close()
		w.desk.EditMask("Mend", func(m *study.Mask) error {
			m.SetKey(around(13, 0))
			return nil
		})
	})
	stage.Eventually(t, "what the edit reaches marked", func() bool { return w.desk.Verdict().At(13).Stale })
	fyne.DoAndWait(func() { assert.False(t, w.desk.Verdict().At(5).Stale, "what it does not reach stays") })
	stage.Eventually(t, "judged again", func() bool { return judgedAll(w)() && !w.desk.Verdict().At(13).Stale })
	fyne.DoAndWait(func() {
		assert.False(t, slices.ContainsFunc(w.desk.Verdict().Findings, func(f shot.Finding) bool { return f.Frame == 13 && f.StandsOut() }))
		assert.InDelta(t, w.desk.Verdict().At(12).Area, w.desk.Verdict().At(13).Area, 0.01)
	})
}

func TestGoToFrame(t *testing.T) {
	w := newWalkWindow(t, 24, 7)
	h := newHand(w)
	ask := func(text string) {
		h.Key(fyne.KeyJ, ctrl)
		h.Key(fyne.KeyA, ctrl)
		f := w.win.Canvas().Focused()
		f.(interface{ SetText(string) }).SetText(text)
		f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	}
	fyne.DoAndWait(func() {
		ask("9")
		assert.Equal(t, 9, w.desk.Frame)
		ask("0:12")
		assert.Equal(t, 12, w.desk.Frame)
		ask("7")
		assert.Equal(t, 12, w.desk.Frame)
		require.True(t, w.sheets.IsOpen(), "it says what is wrong")
		w.sheets.Close()
	})
}

func (w *window) notes() timeline.Notes { return timebar.Notes(w.desk.Verdict()) }

// On the sample, a mask whose line runs through the thighs is told of in Judge, with the place
// to go to; one that is drawn about the legs is not.
func TestJudgeSaysWhereAnOutlineCuts(t *testing.T) {
	w := newTestWindow(t)
	legs := func(left float64) []mask.Point {
		return []mask.Point{{X: left, Y: 290}, {X: 1080, Y: 290}, {X: 1080, Y: 490}, {X: left, Y: 490}}
	}
	says := func() bool { return stage.Says(w.win.Canvas(), "The outline may cut the subject at 8") }
	fyne.DoAndWait(func() {
		w.desk.AddMask(study.Keep, legs(850))
		w.desk.EditMask("Corners", func(m *study.Mask) error { m.Rounded = false; return nil })
	})
	stage.Eventually(t, "what is cut", func() bool { return w.desk.Fresh() && says() })
	require.NotEmpty(t, w.desk.Found.Crossings)
	assert.InDelta(t, 852, w.desk.Found.Crossings[0].X, 7)
	fyne.DoAndWait(func() {
		w.desk.EditMask("About the legs", func(m *study.Mask) error { m.Keys[0].Points = legs(740); return nil })
	})
	stage.Eventually(t, "the new figures", func() bool { return w.desk.Fresh() && !says() })
	assert.Empty(t, w.desk.Found.Crossings)
}
