package desk

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
)

// offTape is how far a place lies from the border of the tape on a frame, in pixels.
func offTape(p mask.Point, frame int) float64 {
	left := float64(tapeLeft(frame))
	dx := max(left-p.X, p.X-left-tapeWidth)
	dy := max(tapeTop-p.Y, p.Y-tapeBottom)
	if dx > 0 && dy > 0 {
		return math.Hypot(dx, dy)
	}
	return math.Abs(max(dx, dy))
}

// The found edge becomes a tight outline on the tape's border, and one undo takes it back.
func TestTheFoundEdgeBecomesTheOutline(t *testing.T) {
	r := newLooseRig(t)
	before := r.Mask().Clone()
	assert.Equal(t, "The edge is being looked for.", r.WhyNoOutline())
	r.await("an outline to take", r.CanTakeOutline)
	require.Empty(t, r.WhyNoOutline())
	require.True(t, r.CanTakeOutline())
	steps := len(r.labels())
	r.TakeOutline()
	require.Len(t, r.labels(), steps+1, "one step")
	assert.Equal(t, OutlineFromFound, r.labels()[0])
	k := r.Mask().Keys[0]
	assert.True(t, k.Tight)
	require.GreaterOrEqual(t, len(k.Points), 4)
	for _, p := range k.Points {
		assert.LessOrEqual(t, offTape(p, 1), 2.0, "%v", p)
	}
	r.Undo()
	assert.Equal(t, before, r.Mask().Track)
}

// With a key at another frame, that one stays as it looks.
func TestTheFoundEdgeLeavesOtherKeys(t *testing.T) {
	r := newLooseRig(t)
	r.EditMask("Key", func(m *study.Mask) error { m.Move(3, mask.Here, 4, 0); return nil })
	area := mask.DoubleArea(r.Mask().At(3).Points)
	r.await("an outline to take", r.CanTakeOutline)
	r.TakeOutline()
	require.Equal(t, []int{1, 3}, r.keyFrames())
	keys := r.Mask().Keys
	assert.Equal(t, []bool{true, false}, []bool{keys[0].Tight, keys[1].Tight})
	assert.Len(t, keys[1].Points, len(keys[0].Points))
	assert.InDelta(t, area, mask.DoubleArea(keys[1].Points), 1e-6)
}

// Between two keys a key is made.
func TestTheFoundEdgeMakesAKey(t *testing.T) {
	r := newLooseRig(t)
	r.keys(1, 3)
	r.GoToFrame(2)
	r.await("an outline to take", r.CanTakeOutline)
	r.TakeOutline()
	require.Equal(t, []int{1, 2, 3}, r.keyFrames())
	for _, p := range r.Mask().Keys[1].Points {
		assert.LessOrEqual(t, offTape(p, 2), 2.0, "%v", p)
	}
}

// newPairRig is a desk with a loose mask about the tape and the card, whose edge has two
// parts.
func newPairRig(t *testing.T) *rig {
	r := newRig(t, 4)
	r.AddMask(study.Keep, []mask.Point{{X: 34, Y: -10}, {X: 106, Y: -10}, {X: 106, Y: 22}, {X: 60, Y: 50}, {X: 34, Y: 50}})
	require.True(t, r.Edit("Search", withMatte(func(s *study.Study, m *study.Matte) error {
		m.Masks[0].Rounded, m.Masks[0].Search = false, 8
		for _, d := range []study.Dab{onTape, {Frame: 1, X: 88, Y: 8, Radius: 3, Kind: study.Keep}, {Frame: 1, X: 64, Y: 24, Radius: 4, Kind: study.Drop}} {
			s.AddMaskDab(m, d)
		}
		return nil
	})), r.problems)
	return r
}

// A further part becomes a mask of its own; beside keys at other frames it works on this
// frame alone, which is said.
func TestFurtherPartsBecomeMasks(t *testing.T) {
	r := newPairRig(t)
	r.await("an outline to take", r.CanTakeOutline)
	chosen := r.MaskID
	r.TakeOutline()
	masks := r.Matte().Masks
	require.Len(t, masks, 2)
	assert.Equal(t, "keep 2", masks[1].Name)
	assert.Equal(t, study.Keep, masks[1].Kind)
	assert.Equal(t, 8.0, masks[1].Search)
	assert.True(t, masks[1].Works(2))
	assert.Equal(t, chosen, r.MaskID)
	assert.Equal(t, "1 mask for further parts and holes", r.notes[len(r.notes)-1])
	r.Undo()
	require.Len(t, r.Matte().Masks, 1)
	r.keys(1, 3)
	r.await("an outline to take", r.CanTakeOutline)
	r.TakeOutline()
	masks = r.Matte().Masks
	require.Len(t, masks, 2)
	assert.True(t, masks[1].Works(1))
	assert.False(t, masks[1].Works(2))
	assert.Equal(t, "1 mask for further parts and holes, on frame 1 alone", r.notes[len(r.notes)-1])
}

// Where there is no outline to take, that is said, and nothing is changed.
func TestNoOutlineIsTaken(t *testing.T) {
	r := newLooseRig(t)
	r.awaitOutline()
	refused := func(why string) {
		t.Helper()
		assert.False(t, r.CanTakeOutline())
		assert.Equal(t, why, r.WhyNoOutline())
		before := r.Study()
		r.TakeOutline()
		assert.EqualError(t, r.lastProblem().Err, why)
		assert.Same(t, before, r.Study())
	}
	change := func(do func(m *study.Mask)) {
		r.EditMask("Change", func(m *study.Mask) error { do(m); return nil })
	}
	change(func(m *study.Mask) { m.Off = true })
	refused("This mask is switched off.")
	change(func(m *study.Mask) { m.Off = false; m.Search = 0 })
	refused("This mask searches no edge.")
	change(func(m *study.Mask) { m.Search = 6; m.In = study.Bound{Set: true, Frame: 2} })
	refused("This mask does not work on frame 1.")
	change(func(m *study.Mask) { m.In = study.Bound{}; m.Rounded = true; m.Move(2, mask.Here, 1, 0) })
	refused("This mask is rounded and has keys at other frames, whose curves would change.")
	change(func(m *study.Mask) { m.Rounded = false; m.Move(1, mask.Everywhere, 5000, 0) })
	refused("The edge is being looked for.")
	require.True(t, r.awaitOutline().Found.Lost)
	refused("No edge found inside this outline: the outline itself is used.")
	r.DeleteMask()
	refused("There is no mask.")
}

// What was found in the picture as it was before another base is not taken.
func TestNoStaleOutlineIsTaken(t *testing.T) {
	r := newLooseRig(t)
	r.await("an outline to take", r.CanTakeOutline)
	r.Edit("Base", func(s *study.Study, _ *study.Matte) error { s.Base.Exposure.Fix(1); return nil })
	assert.Equal(t, "The edge is being looked for.", r.WhyNoOutline())
	r.await("the edge in the other picture", r.CanTakeOutline)
}
