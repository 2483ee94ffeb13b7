package frame

import (
	"image"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/handles"
	"halocline/app/ui/stage"
	"halocline/app/ui/viewer"
	"halocline/app/view"
	"halocline/mask"
)

// A matte may go while a dab of it is pressed: by a key.
func TestAMatteGoesUnderAPressedDab(t *testing.T) {
	b := newBench(t, 1)
	fyne.DoAndWait(func() {
		tool := b.frame.dab
		p := viewer.Pointer{X: 400, Y: 200, Button: left}
		assert.True(t, tool.Press(p))
		for b.desk.Matte() != nil {
			b.desk.DeleteMatte()
		}
		tool.Drag(p)
		tool.Release(p)
	})
	assert.Nil(t, b.desk.Matte())
}

// While a dab is pressed its colours stand in the field, and soon the pick that it
// would make.
func TestAPressedDabIsPreviewed(t *testing.T) {
	b := newBench(t, 1)
	b.Move(b.at(t, 380, 220))
	require.NotNil(t, b.hovered)
	n := len(b.desk.Matte().Dabs)
	b.Press(right)
	require.NotNil(t, b.pressed)
	assert.False(t, b.pressed.Keep)
	assert.NotEmpty(t, b.pressed.Colours)
	stage.Eventually(t, "the pick", func() bool { return b.would != nil })
	b.Wheel(2)
	assert.InDelta(t, startRadius*1.15*1.15, b.frame.dab.now.Radius, 1e-9)
	b.Release(false)
	assert.Nil(t, b.pressed)
	assert.Nil(t, b.would)
	stage.Eventually(t, "a dab", func() bool { return len(b.desk.Matte().Dabs) == n+1 })
	d := b.desk.Matte().Dabs[n]
	assert.Equal(t, study.Drop, d.Kind)
	assert.InDelta(t, 380, d.X, 0.5)
	assert.InDelta(t, startRadius*1.15*1.15, d.Radius, 1e-9)
}

func TestEscGivesAPressedDabUp(t *testing.T) {
	b := newBench(t, 1)
	before := b.desk.Study()
	b.Move(b.at(t, 380, 220))
	b.Press(left)
	b.Move(b.at(t, 390, 225))
	require.NotNil(t, b.frame.dab.now)
	b.Key(fyne.KeyEscape, 0)
	assert.Nil(t, b.frame.dab.now)
	b.Release(false)
	assert.Nil(t, b.frame.dab.now)
	assert.Nil(t, b.pressed)
	assert.Same(t, before, b.desk.Study())
}

func TestADabIsMovedAndRemoved(t *testing.T) {
	b := newBench(t, 1)
	n := len(b.desk.Matte().Dabs)
	b.Drag(left, b.at(t, 60, 135), b.at(t, 70, 140), b.at(t, 90, 150))
	stage.Eventually(t, "the move", func() bool { return b.desk.Session.UndoLabels()[0] == "Move dab" })
	require.Len(t, b.desk.Matte().Dabs, n)
	d := b.desk.Matte().Dabs[2]
	assert.InDelta(t, 90, d.X, 0.5)
	assert.InDelta(t, 150, d.Y, 0.5)
	b.Move(b.at(t, 90, 150))
	assert.Equal(t, "Delete removes the dab under the pointer", b.help)
	b.viewer.MouseOut()
	assert.Contains(t, b.help, "press: keep dab", "the pointer is nowhere")
	b.Move(b.at(t, 300, 20))
	b.Move(b.at(t, 90, 150))
	assert.Equal(t, "Delete removes the dab under the pointer", b.help)
	b.Key(fyne.KeyDelete, 0)
	stage.Eventually(t, "its going", func() bool { return len(b.desk.Matte().Dabs) == n-1 })
}

func TestDabsOfOtherFrames(t *testing.T) {
	b := newBench(t, 2)
	b.desk.RemoveDabs()
	b.Tap(b.at(t, 60, 40), left)
	stage.Eventually(t, "a dab", func() bool { return len(b.desk.Matte().Dabs) == 1 })
	assert.Equal(t, 1, b.desk.Matte().Dabs[0].Frame)
	tool := b.frame.dab
	here := b.drawn(tool.Draw)
	b.desk.GoToFrame(2)
	b.rest(t)
	assert.NotEqual(t, make([]uint8, len(here)), b.drawn(tool.Draw), "faint, with its frame's number")
	assert.NotEqual(t, here, b.drawn(tool.Draw))
	assert.Zero(t, tool.dabAt(60, 40), "a press there makes one of this frame")
	b.Tap(b.at(t, 60, 40), left)
	stage.Eventually(t, "another", func() bool { return len(b.desk.Matte().Dabs) == 2 })
	assert.Equal(t, 2, b.desk.Matte().Dabs[1].Frame)
}

// Dabs for masks are pressed, moved and removed as others are, and are drawn unlike them.
func TestDabsForMasksAreDrawnUnlikeOthers(t *testing.T) {
	b := newBench(t, 1)
	b.addSquare(1)
	b.desk.GoToStep(desk.StepPick)
	n := len(b.desk.Matte().Dabs)
	draw := b.frame.dab.Draw
	b.desk.SetDabUse(desk.ForMasks)
	b.Move(b.at(t, 300, 220))
	b.Press(left)
	assert.Equal(t, "press: keep dab for masks. Right button: the other kind. Wheel while pressed: its size", b.frame.dab.help())
	assert.Nil(t, b.pressed, "no colours stand in the field")
	b.Release(false)
	require.Len(t, b.desk.Matte().MaskDabs, 1)
	assert.Len(t, b.desk.Matte().Dabs, n)
	b.Move(b.at(t, 20, 20))
	b.desk.SetDabUse(desk.ForPick) // without the outline
	asMask := b.drawn(draw)
	b.desk.SetDabUse(desk.ForMasks)
	b.Drag(left, b.at(t, 300, 220), b.at(t, 304, 220), b.at(t, 330, 200))
	assert.InDelta(t, 330, b.desk.Matte().MaskDabs[0].X, 1)
	b.Key(fyne.KeyDelete, 0)
	assert.Empty(t, b.desk.Matte().MaskDabs)

	b.desk.SetDabUse(desk.ForPick)
	b.Tap(b.at(t, 300, 220), left)
	stage.Eventually(t, "the dab", func() bool { return len(b.desk.Matte().Dabs) == n+1 })
	b.Move(b.at(t, 20, 20))
	assert.NotEqual(t, asMask, b.drawn(draw))
}

// While dabs are for masks, the outline that is searched is drawn with the edge that was
// found, and no handles.
func TestOutlinesAreDrawnWhereDabsAreForMasks(t *testing.T) {
	b := newBench(t, 1)
	b.desk.AddMask(study.Keep, []mask.Point{{X: 155, Y: 50}, {X: 330, Y: 50}, {X: 330, Y: 220}, {X: 155, Y: 220}})
	b.desk.RoundMask() // its lines are straight from here on
	b.desk.GoToStep(desk.StepPick)
	b.desk.RemoveDabs()
	found := func() bool { _, ok := b.desk.OutlineOf(b.desk.MaskID); return ok }
	stage.Eventually(t, "the found outline", found)
	width := b.viewer.Viewport().VW
	inked := func(pix []uint8, x, y float64) bool {
		sx, sy := b.viewer.Viewport().ToScreen(x, y)
		at := 4 * (int(sy)*width + int(sx))
		return pix[at] > 0 || pix[at+1] > 0 || pix[at+2] > 0
	}
	with := func(u desk.DabUse) []uint8 {
		b.desk.SetDabUse(u)
		stage.Eventually(t, "the found outline", found)
		return b.drawn(b.frame.dab.Draw)
	}
	blank := with(desk.ForPick)
	assert.False(t, inked(blank, 242, 50))
	for _, u := range []desk.DabUse{desk.ForMasks, desk.ForBoth} {
		pix := with(u)
		assert.True(t, inked(pix, 242, 50), "the line drawn")
		assert.False(t, inked(pix, 242, 135), "no cross in the middle")
		onFound := pix
		b.desk.SlideSearch(0, study.Done)
		assert.Equal(t, blank, b.drawn(b.frame.dab.Draw), "none is searched for")
		b.desk.Undo()
		alone := make([]uint8, len(pix))
		copy(alone, b.drawn(func(dst *image.RGBA, vp view.Viewport, scale float64) {
			handles.Of(b.desk.Mask().At(1), vp, scale).Draw(dst, handles.Part{}, true)
		}))
		assert.NotEqual(t, alone, onFound, "and the edge that was found")
	}
}
