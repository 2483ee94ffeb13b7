package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
)

// newMaskRig is a clip of so many frames whose matte has a keep mask with keys at
// frames of it.
func newMaskRig(t *testing.T, frames int, keys ...int) *rig {
	t.Helper()
	r := newRig(t, frames)
	r.AddMask(study.Keep, box(20, 20, 60, 50))
	r.keys(keys...)
	r.GoToStep(StepMasks)
	return r
}

func TestANewMasksKeyIsAtTheFrameShown(t *testing.T) {
	r := newRig(t, 12)
	r.GoToFrame(7)
	r.AddMask(study.Keep, box(20, 20, 60, 50))
	assert.Equal(t, []int{7}, r.keyFrames())
}

func TestWhatLeadsToAFrame(t *testing.T) {
	m := &mask.Track{Keys: []mask.Key{{Frame: 3}, {Frame: 9}}}
	for frame, want := range map[int]int{0: -1, 2: -1, 3: 3, 8: 3, 9: 9, 40: 9} {
		k, ok := KeyLeading(m, frame)
		assert.Equal(t, want >= 0, ok, frame)
		if ok {
			assert.Equal(t, want, k.Frame, frame)
		}
		assert.Equal(t, want == frame, HasKey(m, frame), frame)
	}
	assert.Equal(t, []int{3, 9}, FramesOf(m))
	assert.Equal(t, "2 keys", KeysOf(m))
	m.Keys = m.Keys[:1]
	assert.Equal(t, "1 key", KeysOf(m))
}

func TestKeysOfAMask(t *testing.T) {
	r := newMaskRig(t, 12, 4)
	r.GoToFrame(4)
	assert.False(t, r.CanAddKey(), "there is one")
	assert.False(t, r.CanRemoveKey(), "it is the last")
	r.GoToFrame(9)
	assert.True(t, r.CanAddKey())
	r.AddKeyHere()
	assert.Equal(t, []int{4, 9}, r.keyFrames())
	assert.False(t, r.CanAddKey())
	assert.True(t, r.CanRemoveKey())
	assert.Equal(t, []int{4}, r.OtherKeys())
	n := len(r.labels())
	r.AddKeyHere()
	assert.Len(t, r.labels(), n, "nothing is changed by another")

	r.EditMask("Move", func(m *study.Mask) error { m.Move(9, mask.Here, 10, 0); return nil })
	r.GoToFrame(2)
	assert.False(t, r.CanRemoveKey(), "there is none here")
	r.CopyKeyHere(9)
	assert.Equal(t, []int{2, 4, 9}, r.keyFrames())
	assert.Equal(t, r.Mask().At(9), r.Mask().At(2))
	r.CopyKeyHere(7)
	assert.ErrorContains(t, r.lastProblem().Err, "no key at frame 7")
	assert.Equal(t, []int{4, 9}, r.OtherKeys())
	r.GoToFrame(4)
	r.RemoveKeyHere()
	assert.Equal(t, []int{2, 9}, r.keyFrames())
	assert.Equal(t, []string{"Remove key", "Copy key", "Move", "Add key"}, r.labels()[:4])
	for _, f := range []int{9, 2} {
		r.GoToFrame(f)
		r.RemoveKeyHere()
	}
	assert.Equal(t, []int{2}, r.keyFrames(), "the last one stays")
	assert.False(t, r.CanRemoveKey())
}

func TestAStillOffersNoKeys(t *testing.T) {
	r := newMaskRig(t, 1, 1)
	assert.False(t, r.CanAddKey())
	assert.False(t, r.CanRemoveKey())
	assert.Nil(t, r.OtherKeys())
}

func TestTheWayIsOfTheKeyThatLeads(t *testing.T) {
	for _, way := range []mask.Way{mask.Step, mask.Straight, mask.Curved} {
		for frame, key := range map[int]int{4: 0, 7: 0, 8: 1, 12: 1} {
			r := newMaskRig(t, 12, 4, 8)
			r.GoToFrame(frame)
			r.SetWay(way)
			for i, k := range r.Mask().Keys {
				want := mask.Straight
				if i == key {
					want = way
				}
				assert.Equal(t, want, k.Way, "frame %d: key %d", frame, i)
			}
		}
	}
	r := newMaskRig(t, 12, 4)
	before := r.Study()
	r.GoToFrame(2)
	r.SetWay(mask.Curved)
	assert.Same(t, before, r.Study(), "no key leads here")
}

// The first and the last frame of a mask: the clip's own ends are no limits, and an
// end gives way to the other.
func TestFramesOfAMask(t *testing.T) {
	on := func(f int) study.Bound { return study.Bound{Set: true, Frame: f} }
	none := study.Bound{}
	type step struct {
		in      bool
		frame   int
		inWant  study.Bound
		outWant study.Bound
	}
	r := newMaskRig(t, 12, 1)
	for i, s := range []step{
		{true, 4, on(4), none},
		{false, 9, on(4), on(9)},
		{true, 10, on(10), on(10)},
		{false, 3, on(3), on(3)},
		{false, 12, on(3), none},
		{true, 1, none, none},
		{false, 8, none, on(8)},
		{true, 0, none, on(8)},
		{false, 20, none, none},
	} {
		if s.in {
			r.SetIn(s.frame)
		} else {
			r.SetOut(s.frame)
		}
		assert.Equal(t, s.inWant, r.Mask().In, "%d", i)
		assert.Equal(t, s.outWant, r.Mask().Out, "%d", i)
		for f := 1; f <= 12; f++ {
			works := (!s.inWant.Set || f >= s.inWant.Frame) && (!s.outWant.Set || f <= s.outWant.Frame)
			assert.Equal(t, works, r.Mask().Works(f), "%d: frame %d", i, f)
		}
	}
}

// From key to key: of the value in hand, of the mask while Masks is open, of the open
// step's values, else of the mask.
func TestTheWayFromKeyToKey(t *testing.T) {
	r := newMaskRig(t, 24, 10)
	r.Edit("Keys", func(s *study.Study, m *study.Matte) error {
		m.Edge.Soften.SetKey(4, 1, mask.Straight)
		m.Edge.Soften.SetKey(22, 2, mask.Straight)
		m.Edge.Grow.SetKey(15, 2, mask.Straight)
		m.Edge.Grow.SetKey(22, 2, mask.Straight)
		return nil
	})
	soften := ValueOf(r.Study(), r.Matte(), ValueID{StepEdge, "soften"})
	for step, want := range map[Step][]int{StepMasks: {10}, StepEdge: {4, 15, 22}, StepPick: {10}, StepTrial: {10}} {
		r.GoToStep(step)
		assert.Equal(t, want, r.KeyFramesNear(nil), step)
		assert.Equal(t, []int{4, 22}, r.KeyFramesNear(soften), step)
	}
	r.GoToStep(StepEdge)
	for _, tt := range []struct{ at, by, want int }{
		{1, 1, 4}, {4, 1, 15}, {5, 1, 15}, {15, 1, 22}, {22, 1, 0}, {24, -1, 22}, {22, -1, 15}, {16, -1, 15}, {4, -1, 0}, {2, -1, 0},
	} {
		r.GoToFrame(tt.at)
		got, ok := r.KeyBeside(tt.by, nil)
		assert.Equal(t, tt.want != 0, ok, tt)
		assert.Equal(t, tt.want, got, tt)
	}
	r.DeleteMask()
	r.GoToStep(StepMasks)
	assert.Nil(t, r.KeyFramesNear(nil), "there is no mask")
}

func TestKeysInAGapOfTheFootageArePassedOver(t *testing.T) {
	r := newRig(t, 12, 5, 6)
	r.AddMask(study.Keep, box(20, 20, 60, 50))
	r.keys(2, 5, 9, 40)
	require.False(t, r.HasFrame(5))
	r.GoToFrame(2)
	r.GoToStep(StepMasks)
	at, ok := r.KeyBeside(1, nil)
	assert.True(t, ok)
	assert.Equal(t, 9, at)
	r.GoToFrame(9)
	_, ok = r.KeyBeside(1, nil)
	assert.False(t, ok, "40 is beyond the clip")
	at, _ = r.KeyBeside(-1, nil)
	assert.Equal(t, 2, at)
}
