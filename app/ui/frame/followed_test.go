package frame

import (
	"image"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/handles"
	"halocline/app/ui/stage"
	"halocline/app/view"
	"halocline/mask"
)

// followDisc makes a mask about the disc of frame 1 that follows it to frame 9, and goes to
// frame 5.
func (b *bench) followDisc() {
	about := func(n int) []mask.Point {
		x := 240 + 2*float64(n)
		return []mask.Point{{X: x - 75, Y: 60}, {X: x + 75, Y: 60}, {X: x + 75, Y: 210}, {X: x - 75, Y: 210}}
	}
	b.desk.AddMask(study.Keep, about(1))
	b.desk.EditMask("Follow", func(m *study.Mask) error {
		m.Rounded, m.Search = false, 0
		k := m.Keys[0]
		k.Way = mask.Follow
		m.SetKey(k)
		k.Frame, k.Points = 9, about(9)
		m.SetKey(k)
		return nil
	})
	b.desk.GoToStep(desk.StepMasks)
	b.desk.GoToFrame(5)
}

// place is where a point of the screen lies in the picture.
func (b *bench) place(sx, sy float64) (x, y float64) { return b.viewer.Viewport().ToPicture(sx, sy) }

// Where a mask follows the picture its outline is drawn without handles: at first as at the
// nearest key, then as it was found. Nothing of it can be moved before that is known.
func TestAFollowedOutlineIsDrawn(t *testing.T) {
	b := newBench(t, 9)
	b.followDisc()
	tool := b.frame.mask
	assert.Nil(t, b.frame.MaskHandles())
	assert.False(t, tool.WantsTab())
	before := b.desk.Study()
	if tool.followed(b.viewer.Viewport(), 1) == nil {
		assert.Contains(t, b.frame.PressHelp(), "is being found")
	}
	stage.Eventually(t, "the followed outline", b.desk.CanTakeOutline)
	assert.Contains(t, b.frame.PressHelp(), "press on the line")
	c := tool.picture.foundFor(b.desk.MaskID)
	require.NotEmpty(t, c)
	low, high := mask.Shape{Points: c[0]}.Bounds()
	assert.InDelta(t, 250-75, low.X, 6)
	assert.InDelta(t, 250+75, high.X, 6)
	found := b.drawn(tool.Draw)
	b.desk.Seek(5, study.Moved) // found outlines are not drawn while the hand is at work
	b.desk.Scrubbing = false
	assert.Same(t, before, b.desk.Study())
	assert.Equal(t, found, b.drawn(tool.Draw))
	b.desk.EditMask("Key", func(m *study.Mask) error { return m.MovePoint(9, mask.Here, 0, -1, 0) })
	assert.NotEqual(t, found, b.drawn(tool.Draw), "faint until it is made anew")
	stage.Eventually(t, "the followed outline", b.desk.CanTakeOutline)
}

// A press on the words makes a key, and so does one on the line; one undo takes it back.
func TestAPressMakesTheKeyAsFound(t *testing.T) {
	b := newBench(t, 9)
	b.followDisc()
	tool := b.frame.mask
	for _, part := range []handles.FollowedPart{handles.TheWords, handles.TheLine} {
		stage.Eventually(t, "the followed outline", b.desk.CanTakeOutline)
		sx, sy := b.partAt(t, part)
		x, y := b.place(sx, sy)
		b.Tap(b.at(t, x, y), left)
		require.Empty(t, b.problems)
		require.Equal(t, []int{1, 5, 9}, desk.FramesOf(&b.desk.Mask().Track))
		assert.Equal(t, desk.KeyAsFound, b.desk.Session.UndoLabels()[0])
		assert.NotNil(t, b.frame.MaskHandles(), "the key has vertices")
		b.desk.Undo()
		require.Equal(t, []int{1, 9}, desk.FramesOf(&b.desk.Mask().Track))
		assert.Nil(t, tool.pull)
	}
}

// partAt finds a place on the screen where a part of the followed outline is.
func (b *bench) partAt(t *testing.T, part handles.FollowedPart) (sx, sy float64) {
	t.Helper()
	f := b.frame.mask.followed(b.viewer.Viewport(), b.frame.mask.scale())
	require.NotNil(t, f)
	vp := b.viewer.Viewport()
	for y := 0.0; y < float64(vp.VH); y += 2 {
		for x := 0.0; x < float64(vp.VW); x += 2 {
			if f.Hit(x, y) == part && f.Hit(x+2, y+2) == part {
				return x, y
			}
		}
	}
	require.Fail(t, "it is nowhere")
	return 0, 0
}

// A drag of the line makes the key and moves its nearest vertex, in one step.
func TestADragOfAFollowedOutline(t *testing.T) {
	b := newBench(t, 9)
	b.followDisc()
	stage.Eventually(t, "the followed outline", b.desk.CanTakeOutline)
	made, err := b.desk.AsFound()
	require.NoError(t, err)
	as := made.At(5).Points
	sx, sy := b.partAt(t, handles.TheLine)
	x, y := b.place(sx, sy)
	steps := len(b.desk.Session.UndoLabels())
	b.Drag(left, b.at(t, x, y), b.at(t, x-5, y-3), b.at(t, x-10, y-6))
	require.Empty(t, b.problems)
	require.Equal(t, []int{1, 5, 9}, desk.FramesOf(&b.desk.Mask().Track))
	require.Len(t, b.desk.Session.UndoLabels(), steps+1)
	assert.Equal(t, "Move vertex", b.desk.Session.UndoLabels()[0])
	now := b.desk.Mask().At(5).Points
	require.Len(t, now, len(as))
	moved, nearest, stay := 0, 0, 0
	for i := range now {
		if now[i] == as[i] {
			stay++
		}
		if now[i].X-as[i].X < now[moved].X-as[moved].X {
			moved = i
		}
		if math.Hypot(as[i].X-x, as[i].Y-y) < math.Hypot(as[nearest].X-x, as[nearest].Y-y) {
			nearest = i
		}
	}
	require.Equal(t, nearest, moved, "its neighbours go less far")
	assert.NotZero(t, stay, "and those on the other side stay")
	assert.InDelta(t, as[moved].X-10, now[moved].X, 1)
	assert.Equal(t, moved, b.frame.mask.chosen.one(), "it is the chosen one")
	b.desk.Undo()
	assert.Equal(t, []int{1, 9}, desk.FramesOf(&b.desk.Mask().Track))
}

// An arrow moves all of it, as it was found.
func TestAnArrowMovesAFollowedOutline(t *testing.T) {
	b := newBench(t, 9)
	b.followDisc()
	stage.Eventually(t, "the followed outline", b.desk.CanTakeOutline)
	made, err := b.desk.AsFound()
	require.NoError(t, err)
	assert.False(t, b.frame.mask.Key(fyne.KeyTab, 0), "there are no vertices to walk")
	require.True(t, b.frame.mask.Key(fyne.KeyRight, 0))
	now := b.desk.Mask().At(5).Points
	require.Len(t, now, len(made.At(5).Points))
	for i, p := range made.At(5).Points {
		assert.InDelta(t, p.X+1, now[i].X, 1e-9)
		assert.InDelta(t, p.Y, now[i].Y, 1e-9)
	}
}

// The pointer shows what it is over, and inside the outline nothing is taken hold of.
func TestThePointerOverAFollowedOutline(t *testing.T) {
	b := newBench(t, 9)
	b.followDisc()
	stage.Eventually(t, "the followed outline", b.desk.CanTakeOutline)
	tool := b.frame.mask
	rest := b.drawn(tool.Draw)
	sx, sy := b.partAt(t, handles.TheWords)
	x, y := b.place(sx, sy)
	b.Move(b.at(t, x, y))
	assert.Equal(t, handles.TheWords, tool.above)
	assert.NotEqual(t, rest, b.drawn(func(dst *image.RGBA, vp view.Viewport, scale float64) { tool.Draw(dst, vp, scale) }))
	before := b.desk.Study()
	b.Tap(b.at(t, 250, 135), left)
	assert.Equal(t, handles.NoPart, tool.above)
	assert.Same(t, before, b.desk.Study())
}

// The outline is drawn anew where it follows the picture; Esc gives that up, and so does another frame
// on which it cannot be.
func TestAFollowedOutlineIsDrawnAnew(t *testing.T) {
	b := newBench(t, 9)
	b.followDisc()
	b.frame.DrawAnew()
	assert.True(t, b.frame.DrawsAnew())
	assert.False(t, b.frame.Draws(study.Keep), "no new mask is drawn")
	b.Key(fyne.KeyEscape, 0)
	assert.False(t, b.frame.DrawsAnew())
	b.frame.DrawAnew()
	for _, p := range [][2]float64{{120, 30}, {300, 40}, {280, 200}, {200, 180}, {120, 90}} {
		b.Tap(b.at(t, p[0], p[1]), left)
	}
	b.Key(fyne.KeyReturn, 0)
	require.Empty(t, b.problems)
	assert.Len(t, b.desk.Matte().Masks, 1)
	require.Equal(t, []int{1, 5, 9}, desk.FramesOf(&b.desk.Mask().Track))
	assert.Len(t, b.desk.Mask().At(5).Points, 5)
	assert.InDelta(t, 280, b.desk.Mask().At(5).Points[2].X, 0.5)
	assert.Equal(t, desk.DrawAnew, b.desk.Session.UndoLabels()[0])

	b.frame.DrawAnew()
	require.True(t, b.frame.DrawsAnew())
	b.desk.DeleteMask()
	assert.False(t, b.frame.Drawing())
	b.frame.DrawAnew()
	assert.False(t, b.frame.Drawing(), "there is no mask")
}
