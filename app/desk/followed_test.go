package desk

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/follow"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/mask"
)

// newFollowedRig is a desk on frames of the scene, with a keep mask about the tape that
// follows it from frame 1 to the last; it searches so deep for the edge, 0 for not.
func newFollowedRig(t testing.TB, frames int, search float64, skip ...int) *rig {
	t.Helper()
	r := newRig(t, frames, skip...)
	on := func(n int) []mask.Point {
		x := float64(tapeLeft(n))
		return box(x-search/2, tapeTop-search/2, x+tapeWidth+search/2, tapeBottom+search/2)
	}
	r.AddMask(study.Keep, on(1))
	r.EditMask("Follow", func(m *study.Mask) error {
		m.Rounded, m.Search = false, search
		k := m.Keys[0]
		k.Way, k.Inner, k.Outer = mask.Follow, 0, 0
		m.SetKey(k)
		k.Frame, k.Points = frames, on(frames)
		m.SetKey(k)
		return nil
	})
	require.Empty(t, r.problems)
	return r
}

// onTapeAt asserts that an outline is about the tape of a frame, within so many pixels.
func (r *rig) onTapeAt(frame int, points []mask.Point, within float64) {
	r.t.Helper()
	low, high := mask.Shape{Points: points}.Bounds()
	left := float64(tapeLeft(frame))
	assert.InDelta(r.t, left, low.X+1, within)
	assert.InDelta(r.t, left+tapeWidth, high.X-1, within)
	assert.InDelta(r.t, tapeTop, low.Y+1, within)
	assert.InDelta(r.t, tapeBottom, high.Y-1, within)
}

// At rest the outline of a frame between two keys is found, with edge search and without, and
// how sure it is is said and kept while the keys stay as they are.
func TestAFollowedOutlineIsFoundAtRest(t *testing.T) {
	for _, search := range []float64{0, 6} {
		r := newFollowedRig(t, 7, search)
		assert.False(t, r.Follows(r.MaskID), "there is a key")
		assert.Empty(t, r.SureWords())
		r.GoToFrame(4)
		require.True(t, r.Follows(r.MaskID))
		assert.Equal(t, "follows: being found", r.SureWords())
		o := r.awaitOutline()
		require.False(t, o.Found.Lost)
		r.onTapeAt(4, o.Found.Outline, 2.5)
		assert.Positive(t, o.Confidence)
		assert.Regexp(t, `^follows: \d+ % sure$`, r.SureWords())
		assert.Equal(t, map[int]float64{4: o.Confidence}, r.SureAt(r.MaskID))
		assert.Contains(t, r.learned, NewProgress)
		r.await("the end of the work", func() bool { return r.FollowingWords() == "" })
		r.EditMask("Move", func(m *study.Mask) error { return m.MovePoint(7, mask.Here, 0, 1, 0) })
		assert.Empty(t, r.SureAt(r.MaskID), "it was between other keys")
		assert.NotEmpty(t, r.StaleContours(r.MaskID), "shown until it is made anew")
		r.awaitOutline()
		assert.Empty(t, r.StaleContours(r.MaskID))
		assert.Len(t, r.SureAt(r.MaskID), 1)
	}
}

// How sure an outline is is rounded down, and below the mark it is said what to do.
func TestAnOutlineThatMayBeLost(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.GoToFrame(4)
	o := r.awaitOutline()
	set := func(confidence float64) {
		o.Confidence = confidence
		r.outlines.by[r.MaskID] = o
	}
	set(0.599)
	assert.Equal(t, "follows: 59 % sure", r.SureWords())
	assert.Equal(t, "The mask may have lost it here: set a key.", r.LostWords())
	assert.Empty(t, r.WhyNoOutline(), "a key can be made of it")
	set(Sure)
	assert.Equal(t, "follows: 60 % sure", r.SureWords())
	assert.Empty(t, r.LostWords())
}

// What another base makes of the edge is not known.
func TestHowSureItIsIsOfTheBase(t *testing.T) {
	for search, want := range map[float64]int{0: 1, 6: 0} {
		r := newFollowedRig(t, 7, search)
		r.GoToFrame(4)
		r.awaitOutline()
		r.GoToFrame(1)
		require.Len(t, r.SureAt(r.MaskID), 1)
		r.Edit("Base", func(s *study.Study, _ *study.Matte) error { s.Base.Exposure.Fix(1); return nil })
		assert.Len(t, r.SureAt(r.MaskID), want)
	}
}

// Where frames are missing on the way, that is said.
func TestAnOutlineThatCameOverAGap(t *testing.T) {
	r := newFollowedRig(t, 7, 0, 3)
	r.GoToFrame(4)
	o := r.awaitOutline()
	o.Confidence = 0.9
	r.outlines.by[r.MaskID] = o
	assert.Equal(t, "Frame 3 is missing: followed across it.", r.LostWords())
	require.Empty(t, r.WhyNoOutline())
}

// While the playhead is dragged and the clip plays, nothing is followed.
func TestNothingIsFollowedWhileTheHandIsAtWork(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.Seek(4, study.Moved)
	r.passes(50e6)
	assert.Zero(t, r.Work.Renderer.Runs()[render.FollowMask])
	assert.Equal(t, outlinesAsk{}, r.outlined)
	r.Seek(4, study.Done)
	r.awaitOutline()
	assert.NotZero(t, r.Work.Renderer.Runs()[render.FollowMask])
}

// The key that is made as it was found has vertices on what was followed; one undo takes it
// back, and the outline is known at once again.
func TestAKeyIsMadeAsFound(t *testing.T) {
	for _, search := range []float64{0, 6} {
		r := newFollowedRig(t, 7, search)
		r.EditMask("Rounded", func(m *study.Mask) error { m.Rounded = search > 0; return nil })
		before := r.Mask().Clone()
		r.GoToFrame(4)
		assert.Equal(t, "The outline is being followed.", r.WhyNoOutline())
		assert.Equal(t, KeyAsFound, r.TakeName())
		r.await("an outline to take", r.CanTakeOutline)
		steps := len(r.labels())
		r.AddKeyHere()
		require.Empty(t, r.problems)
		require.Equal(t, []int{1, 4, 7}, r.keyFrames())
		require.Len(t, r.labels(), steps+1)
		assert.Equal(t, KeyAsFound, r.labels()[0])
		made := r.Mask().Keys[1]
		assert.Equal(t, mask.Follow, made.Way)
		assert.Equal(t, mask.Follow, r.Mask().Keys[0].Way)
		assert.True(t, made.Tight)
		r.onTapeAt(4, made.Points, 2.5)
		assert.Equal(t, before.Keys[0].Points, r.Mask().Keys[0].Points)
		assert.Equal(t, before.Rounded, r.Mask().Rounded)
		assert.Equal(t, OutlineFromFound, r.TakeName(), "there is a key now")
		r.Undo()
		assert.Equal(t, before, r.Mask().Track)
		found := r.Work.Renderer.Runs()[render.FollowMask]
		r.awaitOutline()
		assert.Equal(t, found, r.Work.Renderer.Runs()[render.FollowMask], "undo takes the outline back too")
	}
}

// A change of the shape on a followed frame makes the key as it was found first, in one step;
// before that is known it is refused.
func TestAChangeOnAFollowedFrameMakesTheKeyFirst(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.GoToFrame(4)
	before := r.Study()
	grow := func(p study.Phase, by float64) {
		r.SlideShape("Feather", p, r.MaskID, mask.Here, func(m *study.Mask) error {
			m.Change(4, mask.Here, func(k *study.MaskKey) { k.Outer += by })
			return nil
		})
	}
	grow(study.Done, 3)
	assert.ErrorContains(t, r.lastProblem().Err, "is being followed")
	assert.Same(t, before, r.Study())
	r.await("an outline to take", r.CanTakeOutline)
	want, err := r.AsFound()
	require.NoError(t, err)
	assert.Same(t, before, r.Study(), "nothing is made yet")
	steps := len(r.labels())
	grow(study.Moved, 1)
	grow(study.Moved, 2)
	grow(study.Done, 3)
	require.Empty(t, r.problems)
	require.Len(t, r.labels(), steps+1, "one step")
	require.Equal(t, []int{1, 4, 7}, r.keyFrames())
	assert.Equal(t, want.Keys[1].Points, r.Mask().Keys[1].Points)
	assert.Equal(t, 3.0, r.Mask().Keys[1].Outer)
	r.Undo()
	assert.Same(t, before, r.Study())
	r.SlideShape("Feather", study.Done, r.MaskID, mask.Everywhere, func(m *study.Mask) error {
		m.Change(4, mask.Everywhere, func(k *study.MaskKey) { k.Outer = 5 })
		return nil
	})
	assert.Equal(t, []int{1, 7}, r.keyFrames(), "all keys change, none is made")
	r.await("an outline to take", r.CanTakeOutline)
	r.SetTight(true)
	assert.Equal(t, []int{1, 4, 7}, r.keyFrames())
}

// There are no vertices on a followed frame.
func TestAFollowedFrameHasNoVertices(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.GoToFrame(4)
	before := r.Study()
	r.InsertVertex(0, 0.5)
	assert.Equal(t, "‘Key as found’ first.", r.lastProblem().ToDo)
	r.DeleteVertices([]int{0})
	assert.Contains(t, r.lastProblem().What, "follows the picture here")
	assert.Same(t, before, r.Study())
	r.GoToFrame(7)
	r.InsertVertex(0, 0.5)
	assert.Len(t, r.Mask().Keys[1].Points, 5)
	assert.Len(t, r.Mask().Keys[0].Points, 4, "beyond the stretch vertices are others")
}

// A double-click on a lane goes to a followed frame first: what a key there would be is not
// known before.
func TestAKeyOfALaneWhereTheMaskFollows(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.AddKey(r.MaskID, 4)
	assert.Equal(t, 4, r.Frame)
	assert.Equal(t, []int{1, 7}, r.keyFrames())
	assert.Contains(t, r.notes[len(r.notes)-1], KeyAsFound)
	r.await("an outline to take", r.CanTakeOutline)
	r.AddKey(r.MaskID, 4)
	assert.Equal(t, []int{1, 4, 7}, r.keyFrames())
}

func TestBeyondTheKeys(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.EditMask("One key", func(m *study.Mask) error { m.MoveKey(7, 6); m.RemoveKey(1); m.MoveKey(6, 4); return nil })
	r.SetBefore(mask.Follows)
	assert.Equal(t, "Before the keys: follow", r.labels()[0])
	r.GoToFrame(5)
	r.SetWay(mask.Follow)
	assert.Equal(t, mask.Follows, r.Mask().After)
	assert.Equal(t, mask.Follow, r.WayAfter(r.Mask(), r.Mask().Keys[0]))
	for _, frame := range []int{2, 6} {
		r.GoToFrame(frame)
		require.True(t, r.Follows(r.MaskID))
		key, ok := FollowedKey(&r.Mask().Track, frame)
		assert.True(t, ok)
		assert.Equal(t, 4, key)
	}
	r.SetWay(mask.Curved)
	assert.Equal(t, mask.Curved, r.WayAfter(r.Mask(), r.Mask().Keys[0]))
	assert.False(t, r.Follows(r.MaskID))
	_, ok := FollowedKey(&r.Mask().Track, 6)
	assert.False(t, ok)
}

func TestTheNearestKeyStandsForAFollowedOutline(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	for frame, want := range map[int]int{2: 1, 4: 1, 5: 7, 6: 7} {
		key, ok := FollowedKey(&r.Mask().Track, frame)
		require.True(t, ok)
		assert.Equal(t, want, key, "frame %d", frame)
		assert.Equal(t, r.Mask().At(want).Points, r.Mask().At(frame).Points, "as it is drawn then")
	}
}

// Where nothing is left of what a mask follows, that is said, and a change is of the nearest
// key's outline.
func TestWhatAMaskFollowsIsLost(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.EditMask("Away", func(m *study.Mask) error { m.Move(4, mask.Everywhere, 5000, 0); return nil })
	r.GoToFrame(4)
	require.True(t, r.awaitOutline().Found.Lost)
	assert.Equal(t, "Nothing of it is left here: the nearest key's outline is used.", r.LostWords())
	assert.Equal(t, "follows: lost", r.SureWords())
	assert.Equal(t, r.LostWords(), r.WhyNoOutline())
	r.SlideShape("Move", study.Done, r.MaskID, mask.Here, func(m *study.Mask) error { m.Move(4, mask.Here, 1, 0); return nil })
	require.Empty(t, r.problems)
	assert.Equal(t, r.Mask().Keys[0].Points[0].X+1, r.Mask().Keys[1].Points[0].X)
	r.Undo()
	require.True(t, r.awaitOutline().Found.Lost)
	r.AddKeyHere()
	require.Empty(t, r.problems)
	assert.Equal(t, []int{1, 4, 7}, r.keyFrames())
}

// How far the work is comes through all frames from both keys.
func TestProgressOfFollowing(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	var told [][2]int
	r.Work.Renderer.OnFollow(func(done, of int) { told = append(told, [2]int{done, of}) })
	_, err := r.Work.Renderer.Outlines(context.Background(), render.Request{Study: r.Study(), Settings: &r.Matte().Settings, Frame: 3})
	require.NoError(t, err)
	assert.Equal(t, [][2]int{{1, 6}, {2, 6}, {3, 6}, {4, 6}, {5, 6}, {6, 6}, {0, 0}}, told)
	r.progress = [2]int{4, 6}
	assert.Equal(t, "following: frame 4 of 6", r.FollowingWords())
}

// A cut on an outline's way is said before all else that is doubtful.
func TestAnOutlineThatCameAcrossACut(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.GoToFrame(4)
	o := r.awaitOutline()
	o.Confidence, o.Breaks = 0, follow.Breaks{Cuts: []int{5}, Missing: []int{3}}
	r.outlines.by[r.MaskID] = o
	assert.Equal(t, "The picture changes at once at frame 5: the stretch cannot follow across it, set keys at 4 and 5.", r.LostWords())
	assert.Equal(t, "follows: 0 % sure", r.SureWords())
}
