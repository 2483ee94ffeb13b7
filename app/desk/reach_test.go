package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/study"
	"halocline/mask"
)

// Which keys a move changes is what is said of it: Reaches, KeysReached and MakesKey
// foretell what a move by EditReach does.
func TestMovesReachTheKeysThatAreSaid(t *testing.T) {
	for reach := mask.Here; reach <= mask.Everywhere; reach++ {
		for _, frame := range []int{1, 4, 6, 8, 12} {
			r := newMaskRig(t, 12, 4, 8, 11)
			r.GoToFrame(frame)
			r.SetReach(reach)
			before := r.Mask().Track.Clone()
			said := map[int]bool{}
			for _, k := range before.Keys {
				if r.Reaches(r.MaskID, k.Frame) {
					said[k.Frame] = true
				}
				assert.False(t, r.Reaches(4711, k.Frame), "another mask stays")
			}
			many, makes, count := r.MovesMany(), r.MakesKey(), r.KeysReached(r.Mask())
			assert.Equal(t, reach != mask.Here, many)
			assert.Len(t, said, count)
			r.EditMask("Move", func(m *study.Mask) error { m.Move(frame, r.EditReach(), 5, 0); return nil })
			assert.Equal(t, makes, len(r.Mask().Keys) > len(before.Keys), "%v at %d", reach, frame)
			for _, k := range before.Keys {
				moved := r.Mask().At(k.Frame).Points[0].X != k.Points[0].X
				if many {
					assert.Equal(t, said[k.Frame], moved, "%v at %d: key %d", reach, frame, k.Frame)
				} else {
					assert.Equal(t, k.Frame == frame, moved, "key %d alone", frame)
				}
			}
		}
	}
}

// On one frame all keys are the same, and nothing is said of them.
func TestAStillHasNothingOverTime(t *testing.T) {
	r := newMaskRig(t, 1, 1)
	for reach := mask.Here; reach <= mask.Everywhere; reach++ {
		r.SetReach(reach)
		assert.Equal(t, mask.Everywhere, r.EditReach())
		assert.False(t, r.MovesMany())
		assert.False(t, r.MakesKey())
		assert.Zero(t, r.KeysReached(r.Mask()))
	}
}

func TestReachIsTurnedBack(t *testing.T) {
	r := newMaskRig(t, 4, 2)
	for _, tt := range []struct{ turn, want mask.Reach }{
		{mask.Onward, mask.Onward}, {mask.Onward, mask.Here}, {mask.Everywhere, mask.Everywhere},
		{mask.Onward, mask.Onward}, {mask.Here, mask.Here}, {mask.Here, mask.Here},
	} {
		r.TurnReach(tt.turn)
		assert.Equal(t, tt.want, r.Reach)
		assert.Equal(t, tt.want, r.EditReach())
	}
	assert.Len(t, ReachNames, int(mask.Everywhere)+1)
}

// Moves are made while Masks is open: elsewhere nothing is said of their reach.
func TestManyKeysMoveWhileMasksIsOpen(t *testing.T) {
	r := newMaskRig(t, 4, 1, 3)
	r.SetReach(mask.Everywhere)
	for _, s := range Steps {
		r.GoToStep(s)
		assert.Equal(t, s == StepMasks, r.MovesMany(), s)
	}
	r.GoToStep(StepMasks)
	r.DeleteMask()
	assert.False(t, r.MovesMany(), "there is none")
	assert.False(t, r.MakesKey())
	r.ToggleNeighbours()
	assert.True(t, r.HideNeighbours)
	r.ToggleNeighbours()
	assert.False(t, r.HideNeighbours)
}
