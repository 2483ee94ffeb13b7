package panels

import (
	"regexp"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/mask"
)

// about is a square about the disc of a frame.
func about(n int) []mask.Point {
	x := 240 + 2*float64(n)
	return []mask.Point{{X: x - 75, Y: 60}, {X: x + 75, Y: 60}, {X: x + 75, Y: 210}, {X: x - 75, Y: 210}}
}

// onFollowed is a window on discs, with a mask that has keys about that of frames 1 and 13 and
// searches no edge; frame 7 is shown.
func onFollowed(t *testing.T) (*window, *stage.Hand) {
	w, h := onClip(t)
	w.desk.EditMask("Keys", func(m *study.Mask) error {
		m.Rounded, m.Search = false, 0
		k := m.Keys[0]
		m.Keys = nil
		for _, f := range []int{1, 13} {
			k.Frame, k.Points = f, about(f)
			m.SetKey(k)
		}
		return nil
	})
	w.desk.GoToFrame(7)
	return w, h
}

// A mask may follow the picture after a key; a number may not.
func TestTheWayOfAMask(t *testing.T) {
	w, h := onFollowed(t)
	way := masksOf(w).time.way
	assert.Equal(t, 1, way.At(), "straight")
	for i, want := range maskWays {
		h.PressSegment(t, way, i, len(maskWays))
		assert.Equal(t, want, w.desk.Mask().Keys[0].Way)
		assert.Equal(t, i, way.At())
	}
	assert.Equal(t, mask.Follow, w.desk.Mask().Keys[0].Way)
	assert.Equal(t, "After key: follow", w.labels()[0])
	assert.Contains(t, way.ToolTip(), "the picture's motion")
	assert.NotContains(t, ways, mask.Follow)
	for _, v := range ways {
		assert.True(t, v.OfNumbers())
	}
	last := look.Style{Size: look.SmallSize}.Measure("follow").Width
	assert.Greater(t, way.Size().Width, last*4)
	right := h.Middle(t, way).X + way.Size().Width/2
	assert.LessOrEqual(t, right, w.win.Canvas().Size().Width-8, "it fits the column")
}

// Before the first key and after the last the mask stays, or follows the picture.
func TestBeyondTheKeysOfAMask(t *testing.T) {
	w, h := onFollowed(t)
	time := masksOf(w).time
	assert.False(t, time.start.Visible())
	w.desk.MoveKey(w.desk.MaskID, 1, 8, false, study.Done)
	require.True(t, time.start.Visible(), "frame 7 is before the keys")
	assert.False(t, time.way.Visible())
	h.PressSegment(t, time.start, 1, 2)
	assert.Equal(t, mask.Follows, w.desk.Mask().Before)
	assert.Equal(t, mask.Holds, w.desk.Mask().After)
	h.PressSegment(t, time.start, 0, 2)
	assert.Equal(t, mask.Holds, w.desk.Mask().Before)
	w.desk.GoToFrame(20)
	require.True(t, time.way.Visible())
	h.PressSegment(t, time.way, 3, 4)
	assert.Equal(t, mask.Follows, w.desk.Mask().After)
	assert.Equal(t, 3, time.way.At())
	h.PressSegment(t, time.way, 1, 4)
	assert.Equal(t, mask.Holds, w.desk.Mask().After)
	w.desk.Undo()
	assert.Equal(t, 3, time.way.At())
}

// On a still there is nothing to follow.
func TestAStillHasNoWay(t *testing.T) {
	w, _ := onSample(t)
	w.desk.GoToStep(desk.StepMasks)
	assert.False(t, masksOf(w).time.all.Visible())
}

// Where the mask follows the picture the panel says how sure it is, and a button makes the key
// that was found, though no edge is searched for.
func TestTheKeyAsFoundIsAButton(t *testing.T) {
	w, h := onFollowed(t)
	s := masksOf(w).search
	assert.False(t, s.found.Visible())
	w.desk.SetWay(mask.Follow)
	require.True(t, s.found.Visible())
	assert.Equal(t, desk.KeyAsFound, s.take.Label())
	stage.Eventually(t, "the followed outline", func() bool { return !s.take.Disabled() })
	assert.Regexp(t, regexp.MustCompile(`^follows: \d+ % sure$`), s.sure.Text())
	assert.LessOrEqual(t, look.Style{Size: look.SmallSize}.Measure(s.sure.Text()).Width, s.sure.Size().Width, "there is room for all of it")
	right := h.Middle(t, s.sure).X + s.sure.Size().Width/2
	assert.LessOrEqual(t, right, w.win.Canvas().Size().Width-8, "it fits the column")
	assert.True(t, stage.Says(w.win.Canvas(), "at keys alone"))
	assert.Contains(t, s.take.ToolTip(), "halves are made anew")
	end := h.Middle(t, s.anew).X + s.anew.Size().Width/2
	assert.LessOrEqual(t, end, w.win.Canvas().Size().Width-8, "both buttons fit the column")
	h.PressOn(t, s.anew)
	assert.True(t, s.masks.DrawsAnew())
	h.PressOn(t, s.take)
	assert.Equal(t, []int{1, 7, 13}, desk.FramesOf(&w.desk.Mask().Track))
	assert.False(t, s.found.Visible(), "there is a key, and no edge is searched for")
	least := s.found.MinSize().Width
	assert.LessOrEqual(t, least, float32(lostWidth), "there is room for the other button alone")
	w.desk.Undo()
	assert.Equal(t, []int{1, 13}, desk.FramesOf(&w.desk.Mask().Track))
	stage.Eventually(t, "the followed outline", func() bool { return !s.take.Disabled() })
	look.Focus(s.take)
	h.Key(fyne.KeyReturn, 0)
	assert.Equal(t, []int{1, 7, 13}, desk.FramesOf(&w.desk.Mask().Track))
}

// A number of the mask that is changed where it follows the picture makes the key as found.
func TestANumberWhereTheMaskFollows(t *testing.T) {
	w, h := onFollowed(t)
	w.desk.SetWay(mask.Follow)
	stage.Eventually(t, "the followed outline", w.desk.CanTakeOutline)
	made, err := w.desk.AsFound()
	require.NoError(t, err)
	h.TypeInRow(t, masksOf(w).outer, "9")
	require.Equal(t, []int{1, 7, 13}, desk.FramesOf(&w.desk.Mask().Track))
	assert.Equal(t, 9.0, w.desk.Mask().Keys[1].Outer)
	assert.Equal(t, made.Keys[1].Points, w.desk.Mask().Keys[1].Points)
}

// Where the mask may be lost, that is said, and what to do.
func TestThePanelSaysThatTheMaskIsLost(t *testing.T) {
	w, _ := onFollowed(t)
	w.desk.SetWay(mask.Follow)
	w.desk.EditMask("Elsewhere", func(m *study.Mask) error {
		k := m.Keys[1]
		k.Points = []mask.Point{{X: 10, Y: 10}, {X: 60, Y: 10}, {X: 60, Y: 60}}
		m.SetKey(k)
		return nil
	})
	stage.Eventually(t, "the words", func() bool { return stage.Says(w.win.Canvas(), "may have lost it here: set a key") })
	words := masksOf(w).search.lost[0]
	assert.LessOrEqual(t, look.Style{Size: look.AxisSize}.Measure(words.Text()).Width, words.Size().Width)
}
