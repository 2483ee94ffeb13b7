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

func TestAMaskIsDrawn(t *testing.T) {
	b := newBench(t, 1)
	b.frame.NewMask(study.Drop)
	assert.Equal(t, desk.StepMasks, b.desk.Step)
	assert.True(t, b.frame.Drawing())
	assert.True(t, b.frame.Draws(study.Drop))
	assert.False(t, b.frame.Draws(study.Keep))
	b.Tap(b.at(t, 40, 30), left)
	b.Key(fyne.KeyReturn, 0)
	assert.Equal(t, []string{"The mask is not closed yet"}, b.problems)
	for _, p := range [][2]float64{{120, 30}, {300, 200}, {120, 90}} {
		b.Tap(b.at(t, p[0], p[1]), left)
	}
	b.Key(fyne.KeyBackspace, 0)
	b.Tap(b.at(t, 40, 90), left)
	b.Key(fyne.KeyReturn, 0)
	assert.False(t, b.frame.Drawing())
	require.NotNil(t, b.desk.Mask())
	assert.Equal(t, study.Drop, b.desk.Mask().Kind)
	s, ok := b.frame.MaskShape()
	require.True(t, ok)
	require.Len(t, s.Points, 4)
	assert.InDelta(t, 300, s.Points[2].X, 0.5, "the one after it went")
	assert.InDelta(t, 40, s.Points[3].X, 0.5)
}

func TestThereIsNothingToMaskWithoutAMatte(t *testing.T) {
	b := newBench(t, 1)
	b.desk.DeleteMatte()
	b.frame.NewMask(study.Keep)
	assert.False(t, b.frame.Drawing())
	assert.Equal(t, []string{"There is no matte to mask"}, b.problems)
}

func TestVerticesAreInsertedAndDeleted(t *testing.T) {
	b := newBench(t, 1)
	b.addSquare(1)
	b.desk.RoundMask() // its lines are straight from here on
	assert.Equal(t, "4, none chosen", b.frame.VertexText(4))
	b.frame.DeleteVertices()
	assert.Equal(t, []string{"No vertex is chosen"}, b.problems)
	b.frame.InsertVertex()
	s, _ := b.frame.MaskShape()
	require.Len(t, s.Points, 5)
	assert.Equal(t, mask.Point{X: 80, Y: 30}, s.Points[1], "amid the first line")
	assert.Equal(t, "2 of 5", b.frame.VertexText(5))
	b.frame.DeleteVertices()
	s, _ = b.frame.MaskShape()
	assert.Len(t, s.Points, 4)
	assert.Equal(t, "4, none chosen", b.frame.VertexText(4))
	b.TapTwice(b.at(t, 120, 60))
	s, _ = b.frame.MaskShape()
	require.Len(t, s.Points, 5)
	assert.InDelta(t, 60, s.Points[2].Y, 0.5)
	b.frame.LeaveVertex()
	assert.Equal(t, "5, none chosen", b.frame.VertexText(5))
}

func TestAVertexIsDraggedAndNudged(t *testing.T) {
	b := newBench(t, 1)
	b.addSquare(1)
	b.Drag(left, b.at(t, 120, 30), b.at(t, 125, 32), b.at(t, 132, 38))
	s, _ := b.frame.MaskShape()
	assert.InDelta(t, 132, s.Points[1].X, 0.5)
	assert.Equal(t, "Move vertex", b.desk.Session.UndoLabels()[0])
	assert.Equal(t, "2 of 4", b.frame.VertexText(4))
	x := s.Points[1].X
	b.Key(fyne.KeyRight, 0)
	s, _ = b.frame.MaskShape()
	assert.InDelta(t, x+1, s.Points[1].X, 1e-9)
	b.Key(fyne.KeyTab, 0)
	assert.Equal(t, "3 of 4", b.frame.VertexText(4))
}

// Shift chooses several vertices, one by one or by a rectangle; they move, and go, together.
func TestSeveralVerticesAreChosen(t *testing.T) {
	b := newBench(t, 1)
	b.addSquare(1)
	steps := len(b.desk.Session.UndoLabels())
	b.Stage.Mods = fyne.KeyModifierShift
	b.Tap(b.at(t, 120, 30), left)
	b.Tap(b.at(t, 120, 90), left)
	assert.Equal(t, "4, 2 chosen", b.frame.VertexText(4))
	b.Tap(b.at(t, 120, 30), left)
	assert.Equal(t, "3 of 4", b.frame.VertexText(4), "the second press lets it go")
	b.Drag(left, b.at(t, 30, 20), b.at(t, 80, 60), b.at(t, 50, 100))
	assert.Equal(t, "4, 3 chosen", b.frame.VertexText(4), "those on the left besides")
	assert.Len(t, b.desk.Session.UndoLabels(), steps, "choosing changes nothing")
	b.Stage.Mods = 0
	was, _ := b.frame.MaskShape()
	b.Drag(left, b.at(t, 40, 90), b.at(t, 45, 94), b.at(t, 50, 98))
	s, _ := b.frame.MaskShape()
	for i, p := range s.Points {
		by := 10.0
		if i == 1 {
			by = 0
		}
		assert.InDelta(t, was.Points[i].X+by, p.X, 0.5, "vertex %d", i+1)
	}
	assert.Equal(t, "4, 3 chosen", b.frame.VertexText(4))
	b.Key(fyne.KeyDelete, 0)
	assert.Equal(t, "Delete vertices: not done", b.problems[len(b.problems)-1], "one would be left")
	b.Key(fyne.KeyTab, fyne.KeyModifierShift)
	assert.Equal(t, "3 of 4", b.frame.VertexText(4), "the walk goes on alone from the last one")
}

// With Ctrl the neighbours of a vertex go along, the nearer ones farther.
func TestNeighboursGoAlongWithAVertex(t *testing.T) {
	b := newBench(t, 1)
	b.addSquare(1)
	b.desk.RoundMask()
	b.desk.InsertVertex(0, 0.9)
	was, _ := b.frame.MaskShape()
	b.Stage.Mods = fyne.KeyModifierControl
	b.Drag(left, b.at(t, 120, 30), b.at(t, 123, 30), b.at(t, 130, 30))
	b.Stage.Mods = 0
	s, _ := b.frame.MaskShape()
	assert.InDelta(t, 130, s.Points[2].X, 0.5)
	near := s.Points[1].X - was.Points[1].X
	assert.Greater(t, near, 1.0)
	assert.Less(t, near, 10.0)
	assert.Equal(t, was.Points[4], s.Points[4])
}

// The outline at the neighbour keys and the vertex's way are drawn, and can be
// switched off.
func TestNeighbourKeysAreDrawn(t *testing.T) {
	b := newBench(t, 20)
	b.addSquare(10)
	b.desk.EditMask("Keys", func(m *study.Mask) error {
		m.Move(20, mask.Here, 24, 10)
		return nil
	})
	b.desk.GoToFrame(15)
	tool := b.frame.mask
	tool.chosen.only(2)
	with := b.drawn(tool.Draw)
	require.Len(t, tool.drawn.outlines, 2)
	assert.Equal(t, []int{10, 20}, []int{tool.drawn.outlines[0].frame, tool.drawn.outlines[1].frame})
	assert.True(t, tool.drawn.outlines[0].before)
	require.Len(t, tool.drawn.path, 11, "a point for every frame from key to key")
	assert.Equal(t, mask.Point{X: 132, Y: 95}, tool.drawn.path[5].At)
	assert.Equal(t, with, b.drawn(tool.Draw))
	b.desk.ToggleNeighbours()
	assert.NotEqual(t, with, b.drawn(tool.Draw))
	assert.Empty(t, tool.drawn.outlines)
	b.desk.ToggleNeighbours()
	assert.Equal(t, with, b.drawn(tool.Draw))
	b.desk.SlideMatte("Move mask", study.Moved, func(m *study.Matte) error {
		m.Masks[0].Move(15, mask.Everywhere, 5, 0)
		return nil
	})
	b.drawn(tool.Draw)
	assert.Equal(t, mask.Point{X: 137, Y: 95}, tool.drawn.path[5].At, "as the drag has it")
	b.desk.CancelDrag()
}

func TestTheBannerSaysWhatMoves(t *testing.T) {
	b := newBench(t, 20)
	b.addSquare(10)
	says := func(frame int, r mask.Reach) string {
		b.desk.GoToFrame(frame)
		b.desk.SetReach(r)
		n := b.frame.over.banner
		if !n.all.Visible() {
			return ""
		}
		return n.what.Text() + ": " + n.keys.Text()
	}
	assert.Equal(t, "", says(10, mask.Here))
	assert.Equal(t, "Moving in every key: 1 key of ‘keep’ changes", says(10, mask.Everywhere))
	assert.Equal(t, "Moving from key 10 on: 1 key of ‘keep’ changes", says(10, mask.Onward))
	assert.Equal(t, "Moving from frame 12 on: a new key of ‘keep’, the last", says(12, mask.Onward))
	b.desk.EditMask("Key", func(m *study.Mask) error { m.Move(20, mask.Here, 5, 5); return nil })
	assert.Equal(t, "Moving in every key: 2 keys of ‘keep’ change together", says(12, mask.Everywhere))
	assert.Equal(t, "Moving from frame 12 on: a new key and 1 key of ‘keep’ change together", says(12, mask.Onward))
	b.desk.GoToStep(desk.StepEdge)
	assert.Equal(t, "", says(12, mask.Onward), "moves are made while Masks is open")
}

// Where the edge of a mask is searched for, it is drawn beside the outline once it is found,
// in bone, and stays away while the outline moves.
func TestTheFoundOutlineIsDrawn(t *testing.T) {
	b := newBench(t, 1)
	b.desk.AddMask(study.Keep, []mask.Point{{X: 155, Y: 50}, {X: 330, Y: 50}, {X: 330, Y: 220}, {X: 155, Y: 220}})
	b.desk.GoToStep(desk.StepMasks)
	tool := b.frame.mask
	found := func(dst *image.RGBA, vp view.Viewport, scale float64) { tool.picture.drawFound(dst, vp, scale, 0) }
	blank := make([]uint8, len(b.drawn(found)))
	b.desk.SlideSearch(0, study.Done)
	assert.Equal(t, blank, b.drawn(found), "none is searched for")
	b.desk.SlideSearch(24, study.Done)
	known := func() bool { _, ok := b.desk.OutlineOf(b.desk.MaskID); return ok }
	stage.Eventually(t, "the found outline", known)
	pix := b.drawn(found)
	vp := b.viewer.Viewport()
	bone, off := 0, 0
	for i := 0; i < len(pix); i += 4 {
		if pix[i] < 0x50 { // the dark line
			continue
		}
		bone++
		x, y := vp.ToPicture(float64(i/4%vp.VW)+0.5, float64(i/4/vp.VW)+0.5)
		if r := math.Hypot(x-242, y-135); math.Abs(r-70) > 4 {
			off++
		}
	}
	assert.Greater(t, bone, 200)
	assert.LessOrEqual(t, off, bone/50, "it runs along the disc's edge")

	b.desk.SlideMatte("Move vertex", study.Moved, func(m *study.Matte) error { return m.Masks[0].MovePoint(1, mask.Here, 0, -5, 0) })
	assert.Equal(t, blank, b.drawn(found), "it waits for the outline to rest")
	b.desk.CancelDrag()
	stage.Eventually(t, "the found outline", known)
	assert.Equal(t, pix, b.drawn(found))
}

// The handles of the feathers stand by the edge that was found, also while one is pulled.
func TestFeathersArePulledByTheFoundEdge(t *testing.T) {
	b := newBench(t, 1)
	b.desk.AddMask(study.Keep, []mask.Point{{X: 155, Y: 50}, {X: 330, Y: 50}, {X: 330, Y: 220}, {X: 155, Y: 220}})
	b.desk.GoToStep(desk.StepMasks)
	b.desk.SlideMatte("Feather", study.Done, func(m *study.Matte) error { m.Masks[0].Keys[0].Outer = 20; return nil })
	stage.Eventually(t, "the found outline", func() bool { _, ok := b.desk.OutlineOf(b.desk.MaskID); return ok })
	grip := func() (x, y, off float64) {
		at, ok := b.frame.MaskHandles().Place(handles.OuterFeather)
		require.True(t, ok)
		x, y = b.viewer.Viewport().ToPicture(at.X, at.Y)
		return x, y, math.Hypot(x-242, y-135) - 70
	}
	x, y, off := grip()
	require.InDelta(t, 20, off, 3, "off the disc's edge")
	by := 1 + 10/math.Hypot(x-242, y-135)
	b.Drag(left, b.at(t, x, y), b.at(t, 242+(by+1)/2*(x-242), 135+(by+1)/2*(y-135)), b.at(t, 242+by*(x-242), 135+by*(y-135)))
	assert.InDelta(t, 30, b.desk.Mask().Keys[0].Outer, 2)
	assert.Equal(t, study.OutwardSpec.Title(), b.desk.Session.UndoLabels()[0])

	b.desk.SlideMatte("Feather", study.Moved, func(m *study.Matte) error { m.Masks[0].Keys[0].Outer = 40; return nil })
	_, _, off = grip()
	assert.InDelta(t, 40, off, 3, "while it is on its way")
	b.desk.CancelDrag()
	b.desk.SlideMatte("Move vertex", study.Moved, func(m *study.Matte) error { return m.Masks[0].MovePoint(1, mask.Here, 0, -5, 0) })
	_, _, off = grip()
	assert.Greater(t, off, 30.0, "by the line as drawn while that moves")
	b.desk.CancelDrag()
}
