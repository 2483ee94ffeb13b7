package ui

import (
	"errors"
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/study"
	"halocline/app/ui/timeline"
	"halocline/mask"
	"halocline/selection"
)

func judgedAll(w *window) func() bool {
	return func() bool { return w.verdict.of > 0 && w.verdict.left == 0 && w.verdict.line != nil }
}

// A mask that follows the square, but for one frame where it is far off: that one
// is the worst, it is gone to by a key, mended, and is no longer.
func TestTheStripFindsTheWorstFrameAndSeesItMended(t *testing.T) {
	w := newTestWindow(t)
	w.open(writeSequence(t, 24))
	eventually(t, "the clip", func() bool { return w.several() && w.fresh() })
	h := newHand(w)
	around := func(n int, off float64) study.MaskKey {
		x := float64(20+3*n) + off
		return study.MaskKey{Frame: n, Inner: 1, Outer: 2, Opacity: 1, Points: []mask.Point{{X: x - 8, Y: 22}, {X: x + 48, Y: 22}, {X: x + 48, Y: 78}, {X: x - 8, Y: 78}}}
	}
	fyne.DoAndWait(func() {
		w.newMatte()
		w.desk.EditMatte("Pick", func(m *study.Matte) error {
			m.Pick.Model = selection.HSL
			r := m.Pick.Limits[2].Value
			r.From, r.To = 0.5, 1
			m.Pick.Limits[2].Off, m.Pick.Limits[2].Value = false, r
			return nil
		})
		w.addMask(study.Keep, around(1, 0).Points)
		w.editMask("Keys", func(m *study.Mask) error {
			for _, k := range []study.MaskKey{around(1, 0), around(12, 0), around(13, 40), around(14, 0), around(24, 0)} {
				m.SetKey(k)
			}
			return nil
		})
	})
	eventually(t, "the clip judged", judgedAll(w))
	fyne.DoAndWait(func() {
		require.Len(t, w.verdict.notes.Notes, 24)
		require.NotEmpty(t, w.verdict.notes.Flags, "%+v", w.verdict.findings)
		h.key(fyne.KeyW, 0)
		assert.Equal(t, 13, w.desk.Frame)
		assert.Contains(t, w.judge.time.worst[0].Label(), "13")
		h.key(fyne.KeyW, shift)
		require.NotNil(t, w.sheet)
		w.sheet.close()
		w.editMask("Mend", func(m *study.Mask) error {
			m.SetKey(around(13, 0))
			return nil
		})
	})
	eventually(t, "what the edit reaches marked", func() bool { return w.verdict.at(13).Stale })
	fyne.DoAndWait(func() { assert.False(t, w.verdict.at(5).Stale, "what it does not reach stays") })
	eventually(t, "judged again", func() bool { return judgedAll(w)() && !w.verdict.at(13).Stale })
	fyne.DoAndWait(func() {
		assert.False(t, slices.ContainsFunc(w.verdict.findings, func(f check.Finding) bool { return f.Frame == 13 && f.StandsOut() }))
		assert.InDelta(t, w.verdict.at(12).Area, w.verdict.at(13).Area, 0.01)
	})
}

// While the hand is at work nothing is judged.
func TestTheCheckerWaitsForTheHand(t *testing.T) {
	w := newWalkWindow(t, 12)
	fyne.DoAndWait(func() {
		w.desk.SlideMatte("Note", 0, func(m *study.Matte) error { m.Note = "x"; return nil })
		assert.Nil(t, w.checkJob().line)
		w.desk.CancelDrag()
		assert.NotNil(t, w.checkJob().line)
		w.turnPlay(false)
		assert.Nil(t, w.checkJob().line)
		w.stopPlay()
		w.seek(4, 0)
		assert.Nil(t, w.checkJob().line)
		w.seek(4, 1)
		assert.NotNil(t, w.checkJob().line)
	})
	eventually(t, "rest", w.fresh)
}

func TestGoToFrame(t *testing.T) {
	w := newWalkWindow(t, 24, 7)
	h := newHand(w)
	ask := func(text string) {
		h.key(fyne.KeyJ, ctrl)
		h.key(fyne.KeyA, ctrl)
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
		require.NotNil(t, w.sheet, "it says what is wrong")
		w.sheet.close()
	})
}

func TestLongClipsAreSeenAsAWholeFirst(t *testing.T) {
	all := make([]int, 10_000)
	for i := range all {
		all[i] = i
	}
	order := inOrder(all)
	require.Len(t, order, len(all))
	sorted := slices.Sorted(slices.Values(order))
	assert.Equal(t, all, sorted, "each once")
	first := order[:firstSample]
	assert.True(t, slices.IsSorted(first))
	assert.Greater(t, first[firstSample-1], 9000, "spread over all of it")
}

func TestNotesAreWhatTheStripShows(t *testing.T) {
	v, low := 0.25, 0.1
	n := notesOf([]check.Judged{
		{Frame: check.Frame{Number: 3, Figures: check.Figures{Area: 0.5}, Flicker: &v, Band: &low, Dropped: &v}},
		{Frame: check.Frame{Number: 4, Figures: check.Figures{Area: 0.4}}, Stale: true},
		{Frame: check.Frame{Number: 5, Err: errors.New("gone")}},
	}, []check.Finding{{Frame: 5, Unjudged: true, Sentence: "it cannot be read"}, {Frame: 3, Badness: 1}})
	assert.Equal(t, []timeline.Note{{Frame: 3, Area: 0.5, Flicker: 0.25, Leak: 0.25}, {Frame: 4, Area: 0.4, Flicker: -1, Leak: -1, Stale: true}}, n.Notes)
	assert.Equal(t, []timeline.Flag{{Frame: 5, Rank: 1, Words: "it cannot be read"}}, n.Flags, "what does not stand out has none")
}
