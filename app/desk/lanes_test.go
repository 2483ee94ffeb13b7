package desk

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
)

// newLaneRig is a clip whose matte has a mask with keys at 2 and 8, and whose values
// soften and exposure have keys there too.
func newLaneRig(t *testing.T) *rig {
	r := newRig(t, 12)
	r.AddMask(study.Keep, box(8, 8, 60, 50))
	r.keys(2, 8)
	r.Edit("Keys", func(s *study.Study, m *study.Matte) error {
		for _, f := range []int{2, 8} {
			m.Edge.Soften.SetKey(f, float64(f), mask.Straight)
			s.Base.Exposure.SetKey(f, float64(f)/10, mask.Straight)
		}
		return nil
	})
	return r
}

// lane are the frames of a lane's keys. All values of the values' lane have the same.
func (r *rig) lane(lane int) []int {
	r.t.Helper()
	if lane != ValuesLane {
		return FramesOf(&r.Matte().Mask(lane).Track)
	}
	all := r.KeyedValues()
	for _, v := range all {
		require.Equal(r.t, FramesIn(all[0].Keys), FramesIn(v.Keys), v.Label)
	}
	return FramesIn(all[0].Keys)
}

// What is done to the keys of a mask's lane is done alike to those of the values'.
func TestKeysOfEveryLane(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		what  string
		act   func(r *rig, lane int)
		label string // of the edit; "" for none
		want  []int
	}{
		{"moved", func(r *rig, l int) { r.MoveKey(l, 8, 10, false, study.Done) }, "Move key", []int{2, 10}},
		{"moved onto another: in its place", func(r *rig, l int) { r.MoveKey(l, 8, 2, false, study.Done) }, "Move key", []int{2}},
		{"moved to where it is", func(r *rig, l int) { r.MoveKey(l, 8, 8, false, study.Done) }, "", []int{2, 8}},
		{"moved from where there is none", func(r *rig, l int) { r.MoveKey(l, 5, 9, false, study.Done) }, "", []int{2, 8}},
		{"moved past the other", func(r *rig, l int) { r.MoveKey(l, 2, 11, false, study.Done) }, "Move key", []int{8, 11}},
		{"copied", func(r *rig, l int) { r.MoveKey(l, 2, 5, true, study.Done) }, "Copy key", []int{2, 5, 8}},
		{"copied onto another", func(r *rig, l int) { r.MoveKey(l, 2, 8, true, study.Done) }, "Copy key", []int{2, 8}},
		{"made", func(r *rig, l int) { r.AddKey(l, 5) }, "Add key", []int{2, 5, 8}},
		{"made where there is one", func(r *rig, l int) { r.AddKey(l, 2) }, "", []int{2, 8}},
		{"removed", func(r *rig, l int) { r.RemoveKey(l, 2) }, "Remove key", []int{8}},
		{"removed where there is none", func(r *rig, l int) { r.RemoveKey(l, 3) }, "", []int{2, 8}},
	} {
		r := newLaneRig(t)
		for _, lane := range []int{r.MaskID, ValuesLane} {
			// A drag's moves before the end are as if they had not been.
			before := len(r.labels())
			if tt.label == "Move key" {
				r.MoveKey(lane, 8, 3, false, study.Moved)
				r.CancelDrag()
			}
			if tt.what == "copied onto another" && lane != ValuesLane {
				r.EditMask("Move", func(m *study.Mask) error { m.Move(8, mask.Here, 5, 5); return nil })
				before++
			}
			tt.act(r, lane)
			assert.Equal(t, tt.want, r.lane(lane), "%s in lane %d", tt.what, lane)
			if tt.label == "" {
				assert.Len(t, r.labels(), before, tt.what)
			} else {
				assert.Len(t, r.labels(), before+1, tt.what)
				assert.Equal(t, tt.label, r.labels()[0])
			}
		}
		assert.Empty(t, r.problems, tt.what)
	}
}

func TestADragOfAKeyIsOfTheKeysAsTheyWere(t *testing.T) {
	r := newLaneRig(t)
	n := len(r.labels())
	for _, lane := range []int{r.MaskID, ValuesLane} {
		for _, to := range []int{3, 2, 1, 9, 12} { // over the other one
			r.MoveKey(lane, 8, to, false, study.Moved)
		}
		r.MoveKey(lane, 8, 10, false, study.Done)
		assert.Equal(t, []int{2, 10}, r.lane(lane))
	}
	assert.Len(t, r.labels(), n+2, "one drag, one edit")
	r.MoveKey(r.MaskID, 10, 2, false, study.Moved)
	r.MoveKey(r.MaskID, 10, 2, false, study.Cancelled)
	assert.Equal(t, []int{2, 10}, r.lane(r.MaskID), "given up")
}

func TestAMasksLastKeyStays(t *testing.T) {
	r := newLaneRig(t)
	for _, f := range []int{2, 8} {
		r.RemoveKey(ValuesLane, f)
	}
	assert.Empty(t, r.KeyedValues(), "values may do without")
	assert.Equal(t, 8.0, r.Matte().Edge.Soften.At(1))
	r.RemoveKey(r.MaskID, 2)
	before := r.Study()
	r.RemoveKey(r.MaskID, 8)
	assert.Same(t, before, r.Study())
	assert.Equal(t, "The last key stays: a mask has a shape", r.lastProblem().What)
}

func TestALaneIsChosen(t *testing.T) {
	r := newLaneRig(t)
	first := r.MaskID
	r.AddMask(study.Drop, box(1, 1, 9, 9))
	second := r.MaskID
	r.ChooseLane(first)
	assert.Equal(t, first, r.MaskID)
	for _, none := range []int{ValuesLane, 0, 4711} {
		r.ChooseLane(none)
		assert.Equal(t, first, r.MaskID)
	}
	r.ChooseLane(second)
	assert.Equal(t, second, r.MaskID)
	r.MoveKey(4711, 2, 3, false, study.Done)
	assert.ErrorContains(t, r.lastProblem().Err, "no such mask")
}

// A key that is made says the same as was said there, in every lane.
func TestAKeyMadeOnALaneChangesNoShape(t *testing.T) {
	r := newLaneRig(t)
	r.EditMask("Move", func(m *study.Mask) error { m.Move(8, mask.Here, 12, 6); return nil })
	shapes := func() (all []mask.Shape) {
		for f := 1; f <= 12; f++ {
			all = append(all, r.Mask().At(f))
		}
		return all
	}
	before := shapes()
	r.AddKey(r.MaskID, 5)
	for f, s := range shapes() {
		for i, p := range s.Points {
			assert.InDelta(t, before[f].Points[i].X, p.X, 1e-9, "frame %d", f+1)
			assert.InDelta(t, before[f].Points[i].Y, p.Y, 1e-9, "frame %d", f+1)
		}
	}
	assert.True(t, slices.Equal([]int{2, 5, 8}, r.keyFrames()))
}
