package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/selection"
)

// newMattes is a rig with mattes of these names beside its first, which is called
// "tape" and stays chosen. It returns their ids, the first's first.
func (r *rig) newMattes(names ...string) (ids []int) {
	r.t.Helper()
	first := r.MatteID
	require.True(r.t, r.Edit("Mattes", func(s *study.Study, _ *study.Matte) error {
		for _, n := range names {
			s.AddMatte(n, selection.LCh)
		}
		return nil
	}))
	for _, m := range r.Study().Mattes {
		ids = append(ids, m.ID)
	}
	r.Choose(first)
	return ids
}

func TestMattesAreJoined(t *testing.T) {
	r := newRig(t, 1)
	ids := r.newMattes("legs", "gloves")
	r.JoinMatte(ids[1], study.Add)
	r.JoinMatte(ids[2], study.TakeAway)
	assert.Equal(t, []study.Join{{With: ids[1], How: study.Add}, {With: ids[2], How: study.TakeAway}}, r.Matte().Joins)
	r.SetHow(0, study.Touching)
	assert.Equal(t, study.Touching, r.Matte().Joins[0].How)
	r.MoveJoin(0, 1)
	assert.Equal(t, []study.Join{{With: ids[2], How: study.TakeAway}, {With: ids[1], How: study.Touching}}, r.Matte().Joins)
	n := len(r.labels())
	r.MoveJoin(1, 1)
	r.MoveJoin(0, -1)
	assert.Len(t, r.labels(), n, "past the ends nothing moves")
	r.Unjoin(0)
	assert.Equal(t, []study.Join{{With: ids[1], How: study.Touching}}, r.Matte().Joins)
	r.Unjoin(0)
	assert.Nil(t, r.Matte().Joins, "as if nothing had been joined")
	assert.Equal(t, []string{"Take joined matte out", "Take joined matte out", "Move joined matte", "How to join", "Join matte", "Join matte", "Mattes"}, r.labels())
	r.Undo()
	assert.Equal(t, []study.Join{{With: ids[1], How: study.Touching}}, r.Matte().Joins)
	assert.Empty(t, r.problems)
	for _, act := range []func(){func() { r.Unjoin(1) }, func() { r.SetHow(-1, study.Add) }, func() { r.MoveJoin(5, 1) }} {
		act()
		assert.ErrorContains(t, r.lastProblem().Err, "there is no such joined matte")
	}
}

// A matte that is taken in already is taken in the new way, in its place.
func TestAMatteIsTakenInOnce(t *testing.T) {
	r := newRig(t, 1)
	ids := r.newMattes("legs", "gloves")
	r.JoinMatte(ids[1], study.Add)
	r.JoinMatte(ids[2], study.TakeAway)
	r.JoinMatte(ids[1], study.Within)
	assert.Equal(t, []study.Join{{With: ids[1], How: study.Within}, {With: ids[2], How: study.TakeAway}}, r.Matte().Joins)
	assert.Empty(t, r.problems)
}

// Mattes that would take one another in are not offered, and refused; the loop is named.
func TestCirclesOfMattesAreRefused(t *testing.T) {
	r := newRig(t, 1)
	ids := r.newMattes("legs", "gloves")
	joinable := func() (names []string) {
		for _, m := range r.Joinable() {
			names = append(names, m.Name)
		}
		return names
	}
	assert.Equal(t, []string{"legs", "gloves"}, joinable())
	r.JoinMatte(ids[1], study.Add)
	assert.Equal(t, []string{"gloves"}, joinable(), "what is taken in is not offered again")
	r.Choose(ids[1])
	r.JoinMatte(ids[2], study.Add)
	assert.Empty(t, joinable(), "tape would make a circle")
	r.Choose(ids[2])
	assert.Empty(t, joinable(), "by whatever way")
	assert.Empty(t, r.problems)
	before := r.Study()
	r.JoinMatte(ids[0], study.Within)
	p := r.lastProblem()
	assert.Equal(t, "Join matte: not done", p.What)
	assert.Contains(t, p.Reason(300), `"tape" takes in "legs" takes in "gloves" takes in "tape"`)
	r.JoinMatte(ids[2], study.Add)
	assert.ErrorContains(t, r.lastProblem().Err, "takes in itself")
	assert.Same(t, before, r.Study())
}

// A matte that is deleted goes out of those that take it in, which is noted; undo brings
// all of it back.
func TestADeletedMatteIsTakenOut(t *testing.T) {
	r := newRig(t, 1)
	ids := r.newMattes("legs", "gloves")
	r.JoinMatte(ids[1], study.Add)
	r.JoinMatte(ids[2], study.TakeAway)
	r.KeepProof()
	before := r.Study()
	r.Choose(ids[1])
	r.DeleteMatte()
	assert.Equal(t, []string{"‘tape’ no longer takes in ‘legs’"}, r.notes)
	tape := r.Study().Matte(ids[0])
	assert.Equal(t, []study.Join{{With: ids[2], How: study.TakeAway}}, tape.Joins)
	assert.Equal(t, tape.Joins, tape.Proofs[0].Joins)
	r.Undo()
	assert.Equal(t, before, r.Study())

	r.Choose(ids[1])
	r.JoinMatte(ids[2], study.Add)
	r.Choose(ids[2])
	r.DeleteMatte()
	assert.Equal(t, "‘tape’ and ‘legs’ no longer take in ‘gloves’", r.notes[1])
	r.Choose(ids[0])
	r.DeleteMatte()
	assert.Len(t, r.notes, 2, "nothing took that in")
}

func TestADuplicateTakesInTheSame(t *testing.T) {
	r := newRig(t, 1)
	ids := r.newMattes("legs")
	r.JoinMatte(ids[1], study.Add)
	r.SetNotExported(true)
	r.DuplicateMatte()
	assert.Equal(t, "tape 2", r.Matte().Name)
	assert.Equal(t, []study.Join{{With: ids[1], How: study.Add}}, r.Matte().Joins)
	assert.True(t, r.Matte().NotExported)
	r.Unjoin(0)
	assert.Len(t, r.Study().Matte(ids[0]).Joins, 1, "the first keeps its own")
}

// Mask alone takes the ranges off, and is offered where that leaves something to be said.
func TestMaskAlone(t *testing.T) {
	r := newRig(t, 1)
	r.set(func(m *study.Matte) {
		m.Pick.Fitted = true
		m.Pick.Limits[selection.Hue].Off = false
		m.Pick.Limits[selection.Light].Off = false
		m.Pick.Limits[selection.Light].Inverted = true
	})
	assert.False(t, r.CanMaskAlone(), "there is no mask")
	r.AddMask(study.Drop, box(8, 8, 40, 40))
	assert.False(t, r.CanMaskAlone(), "nothing says what is kept")
	r.TurnMask()
	assert.True(t, r.CanMaskAlone())
	r.ToggleMask()
	assert.False(t, r.CanMaskAlone(), "the mask is off")
	r.ToggleMask()
	before := r.Matte().Pick
	r.MaskAlone()
	for _, l := range r.Matte().Pick.Limits {
		assert.True(t, l.Off)
	}
	assert.Equal(t, 1.0, r.pick().Weight(selection.Point{1, 2, 3}), "the pick keeps everything")
	assert.False(t, r.CanMaskAlone(), "that is so")
	assert.Equal(t, "Mask alone", r.labels()[0])
	r.Undo()
	assert.Equal(t, before, r.Matte().Pick)
}

func TestEveryWayToJoinHasAName(t *testing.T) {
	assert.Len(t, HowNames, len(study.HowNames()))
	assert.NotContains(t, HowNames, "")
}

func TestJoinsInTheSummaryOfMasks(t *testing.T) {
	r := newRig(t, 1)
	ids := r.newMattes("legs")
	summary := func() (string, State) { return StepMasks.Summary(r.Study(), r.Matte(), 1) }
	r.JoinMatte(ids[1], study.Add)
	text, how := summary()
	assert.Equal(t, "1 joined", text)
	assert.Equal(t, Active, how)
	r.AddMask(study.Keep, box(8, 8, 40, 40))
	r.ToggleMask()
	text, how = summary()
	assert.Equal(t, "1 keep, all off; 1 joined", text)
	assert.Equal(t, Active, how)
}
