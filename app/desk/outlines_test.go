package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// newLooseRig is a desk on several frames of the scene, with a loose keep mask about the
// tape on frame 1, whose edge is searched for.
func newLooseRig(t testing.TB) *rig {
	t.Helper()
	r := newRig(t, 4)
	r.AddMask(study.Keep, box(34, 14, 62, 50))
	r.EditMask("Loose", func(m *study.Mask) error {
		m.Rounded, m.Search = false, 6
		m.Keys[0].Inner, m.Keys[0].Outer = 0, 0
		return nil
	})
	return r
}

func (r *rig) awaitOutline() render.Outline {
	r.t.Helper()
	r.await("the found outline", func() bool { _, ok := r.OutlineOf(r.MaskID); return ok })
	o, _ := r.OutlineOf(r.MaskID)
	return o
}

// The edge that is found is the tape's, within two pixels, and says what the mask weighs
// there.
func TestTheEdgeInALooseMaskIsFound(t *testing.T) {
	r := newLooseRig(t)
	assert.Equal(t, 1.0, r.MaskAt(36, 32), "as drawn while it is not known")
	o := r.awaitOutline()
	require.False(t, o.Found.Lost)
	low, high := mask.Shape{Points: o.Found.Outline}.Bounds()
	assert.InDelta(t, tapeLeft(1), low.X, 2)
	assert.InDelta(t, tapeLeft(1)+tapeWidth, high.X, 2)
	assert.InDelta(t, tapeTop, low.Y, 2)
	assert.InDelta(t, tapeBottom, high.Y, 2)
	assert.Equal(t, box(34, 14, 62, 50), o.Layer.Points)
	assert.Contains(t, r.learned, NewOutlines)
	assert.InDelta(t, 1, r.MaskAt(48, 32), 0.01)
	assert.InDelta(t, 0, r.MaskAt(58, 47), 0.01, "sand inside the outline")
	assert.Empty(t, r.LostWords())
	reasonAt := func(x, y int) selection.Reason {
		r.rest()
		a, ok := r.AskAbout(x, y)
		require.True(t, ok)
		return r.ReasonAt(a, 0)
	}
	assert.Equal(t, selection.ByFound, reasonAt(58, 47))
	assert.Equal(t, selection.ByMask, reasonAt(10, 20), "outside the outline too")
}

// While a vertex is dragged nothing is found; other settings leave what was found.
func TestAnOutlineThatMovesIsNotFound(t *testing.T) {
	r := newLooseRig(t)
	r.awaitOutline()
	id := r.MaskID
	runs := func() int { return r.Work.Renderer.Runs()[render.FindEdge] }
	before := runs()
	move := func(p study.Phase) {
		r.SlideMatte("Move vertex", p, func(m *study.Matte) error { return m.Mask(id).MovePoint(1, mask.Here, 0, -2, 0) })
	}
	move(study.Moved)
	assert.Equal(t, outlinesAsk{}, r.outlined)
	_, ok := r.OutlineOf(id)
	assert.False(t, ok, "it is of another outline")
	move(study.Done)
	r.awaitOutline()
	assert.Greater(t, runs(), before)
	r.SlideMatte("Grow", study.Moved, func(m *study.Matte) error { m.Edge.Grow.Fix(1); return nil })
	_, ok = r.OutlineOf(id)
	assert.True(t, ok, "the outline is as it was")
	r.CancelDrag()
	r.SlideMatte("Feather", study.Moved, func(m *study.Matte) error {
		m.Mask(id).Change(1, mask.Here, func(k *study.MaskKey) { k.Outer = 3 })
		return nil
	})
	feathered, ok := r.OutlineOf(id)
	assert.True(t, ok, "a feather is about the edge that was found")
	assert.Equal(t, 3.0, feathered.Layer.Outer, "as it is now")
	r.CancelDrag()
	r.GoToFrame(2)
	_, ok = r.OutlineOf(id)
	assert.False(t, ok)
	o := r.awaitOutline()
	low, _ := mask.Shape{Points: o.Found.Outline}.Bounds()
	assert.InDelta(t, tapeLeft(2), low.X, 2)
	r.Seek(3, study.Moved)
	r.passes(50e6)
	assert.Equal(t, outlinesAsk{}, r.outlined, "nothing is found while the playhead is dragged")
	r.Seek(3, study.Done)
	r.awaitOutline()
	r.SlideSearch(0, study.Done)
	_, ok = r.OutlineOf(id)
	assert.False(t, ok, "none is searched for")
}

// Outside of the frame there is nothing to be found: the outline itself is used, and that
// is said.
func TestAnOutlineWithoutAnEdge(t *testing.T) {
	r := newLooseRig(t)
	r.awaitOutline()
	r.EditMask("Away", func(m *study.Mask) error { m.Move(1, mask.Everywhere, 5000, 0); return nil })
	assert.Empty(t, r.LostWords(), "it is not known yet")
	require.True(t, r.awaitOutline().Found.Lost)
	assert.Equal(t, "No edge found inside this outline: the outline itself is used.", r.LostWords())
}

func TestEdgeSearchIsSet(t *testing.T) {
	r := newMaskRig(t, 6, 1, 5)
	r.SlideSearch(0, study.Done)
	r.SlideSearch(10, study.Moved)
	r.SlideSearch(12, study.Moved)
	r.SlideSearch(12.5, study.Done)
	assert.Equal(t, 12.5, r.Mask().Search)
	assert.Equal(t, study.SearchSpec.Title(), r.labels()[0])
	r.Undo()
	assert.Zero(t, r.Mask().Search, "one step")
	r.SlideSearch(-1, study.Done)
	assert.ErrorContains(t, r.lastProblem().Err, "edge search")
	assert.Zero(t, r.Mask().Search)
}

// Tight is of keys: a key is made where there is none, or all are changed.
func TestTightIsSetInKeys(t *testing.T) {
	r := newMaskRig(t, 6, 1, 5)
	r.GoToFrame(3)
	r.SetTight(true)
	assert.Equal(t, []int{1, 3, 5}, r.keyFrames())
	tight := func() (all []bool) {
		for _, k := range r.Mask().Keys {
			all = append(all, k.Tight)
		}
		return all
	}
	assert.Equal(t, []bool{false, true, false}, tight())
	assert.Equal(t, "Tight", r.labels()[0])
	assert.True(t, r.Mask().TightAt(3))
	assert.False(t, r.Mask().TightAt(4), "the next key is not")
	r.SetReach(mask.Everywhere)
	r.SetTight(true)
	assert.Equal(t, []bool{true, true, true}, tight())
	r.SetReach(mask.Onward)
	r.SetTight(false)
	assert.Equal(t, []bool{true, false, false}, tight())
}
