package panels

import (
	"strings"
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

func TestEdgeSearchIsANumberOfTheMask(t *testing.T) {
	w, h := onClip(t)
	number := masksOf(w).search.depth
	assert.Contains(t, specOf(study.SearchSpec).Hint, "edge is expected, no limit")
	set := func(text string) {
		h.PressOn(t, number)
		h.Write(text)
		h.Key(fyne.KeyReturn, 0)
	}
	set("0")
	assert.Equal(t, 0.0, w.desk.Mask().Search)
	before := len(w.labels())
	set("12")
	assert.Equal(t, 12.0, w.desk.Mask().Search)
	assert.Equal(t, []string{"Edge search"}, w.labels()[:len(w.labels())-before], "one step")
	w.desk.Undo()
	assert.Zero(t, number.Value())
	set("-1")
	assert.NotEmpty(t, number.Problem())
	assert.Zero(t, w.desk.Mask().Search)
}

// Tight is of the chosen mask's key on the frame shown, which is made where there is none,
// and only where an edge is searched for.
func TestTightIsOfTheKey(t *testing.T) {
	w, h := onClip(t)
	tight := masksOf(w).search.tight
	w.desk.SlideSearch(0, study.Done)
	assert.True(t, tight.Disabled(), "no edge is searched for")
	w.desk.SlideSearch(12, study.Done)
	require.False(t, tight.Disabled())
	w.desk.GoToFrame(20)
	h.PressOn(t, tight)
	assert.True(t, tight.On())
	require.Len(t, w.desk.Mask().Keys, 2)
	assert.Equal(t, []bool{false, true}, []bool{w.desk.Mask().Keys[0].Tight, w.desk.Mask().Keys[1].Tight})
	w.desk.GoToFrame(10)
	assert.False(t, tight.On())
}

// Where no edge is found, that is said in the panel.
func TestThePanelSaysThatNoEdgeIsFound(t *testing.T) {
	w, _ := onClip(t)
	lost := "No edge found inside this outline: the outline itself is used."
	w.desk.SlideSearch(12, study.Done)
	known := func() bool { _, ok := w.desk.OutlineOf(w.desk.MaskID); return ok }
	stage.Eventually(t, "the found outline", known)
	w.desk.EditMask("Away", func(m *study.Mask) error { m.Move(10, mask.Everywhere, 5000, 0); return nil })
	stage.Eventually(t, "the words", func() bool { return stage.Says(w.win.Canvas(), lost) })
	label := stage.Find(t, w.win.Canvas(), "words", func(l *look.Label) bool { return l.Text() == lost })
	assert.LessOrEqual(t, look.Style{Size: look.AxisSize}.Measure(lost).Width, label.Size().Width, "there is room for all of it")
	w.desk.SlideSearch(0, study.Done)
	assert.False(t, stage.Says(w.win.Canvas(), lost))
}

// The edge that was found becomes the outline by a press, or by Enter; where it cannot, the
// button is off and its hint says why.
func TestTheFoundEdgeIsTakenByAButton(t *testing.T) {
	w, h := onClip(t)
	s := masksOf(w).search
	w.desk.SlideSearch(0, study.Done)
	assert.False(t, s.found.Visible(), "none is searched for")
	w.desk.GoToFrame(1)
	w.desk.EditMask("About the disc", func(m *study.Mask) error {
		m.Rounded = false
		m.Keys[0].Frame, m.Keys[0].Points = 1, []mask.Point{{X: 155, Y: 50}, {X: 330, Y: 50}, {X: 330, Y: 220}, {X: 155, Y: 220}}
		return nil
	})
	w.desk.SlideSearch(24, study.Done)
	require.True(t, s.found.Visible())
	assert.True(t, s.take.Disabled())
	assert.Equal(t, "The edge is being looked for.", s.take.ToolTip())
	stage.Eventually(t, "the found outline", func() bool { return !s.take.Disabled() })
	assert.Contains(t, s.take.ToolTip(), "becomes the outline")
	label := look.Style{Size: look.SmallSize}.Measure(s.take.Label())
	assert.LessOrEqual(t, label.Width, s.take.Size().Width, "there is room for all of it")
	before := w.desk.Mask().Clone()
	h.PressOn(t, s.take)
	assert.Equal(t, desk.OutlineFromFound, w.labels()[0])
	assert.True(t, w.desk.Mask().Keys[0].Tight)
	assert.True(t, s.tight.On())
	w.desk.Undo()
	assert.Equal(t, before, w.desk.Mask().Track)
	stage.Eventually(t, "the found outline", func() bool { return !s.take.Disabled() })
	look.Focus(s.take)
	h.Key(fyne.KeyReturn, 0)
	assert.True(t, w.desk.Mask().Keys[0].Tight)
	w.desk.ToggleMask()
	assert.True(t, s.take.Disabled())
	assert.Equal(t, "This mask is switched off.", s.take.ToolTip())
}

// Words that one line has no room for are divided in two, and nothing of them is lost.
func TestLongWordsStandInTwoLines(t *testing.T) {
	stage.NewApp(t)
	for words, two := range map[string]bool{
		"": false,
		"The mask may have lost it here: set a key.":                                                                 false,
		"The picture changes at once at frame 1012: the stretch cannot follow across it, set keys at 1011 and 1012.": true,
	} {
		lines := inTwoLines(words, lostWidth)
		assert.Equal(t, two, lines[1] != "", words)
		assert.Equal(t, words, strings.TrimSpace(lines[0]+" "+lines[1]))
		for _, l := range lines {
			assert.LessOrEqual(t, lostStyle.Measure(l).Width, float32(lostWidth))
		}
	}
}
