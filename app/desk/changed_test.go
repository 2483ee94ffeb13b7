package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

func TestWhatChanged(t *testing.T) {
	r := newRig(t, 1)
	r.AddMask(study.Keep, box(8, 8, 40, 40))
	id, other := r.MatteID, r.newMattes("legs")[1]
	for _, c := range []struct {
		change func(*study.Study, *study.Matte) error
		matte  int
		step   Step
	}{
		{softened(2), id, StepEdge},
		{func(_ *study.Study, m *study.Matte) error { m.Pick.Smooth = false; return nil }, id, StepPick},
		{func(s *study.Study, m *study.Matte) error {
			s.AddDab(m, study.Dab{Frame: 1, Radius: 2})
			return nil
		}, id, StepPick},
		{func(s *study.Study, _ *study.Matte) error { s.Base.Exposure.Fix(1); return nil }, 0, StepBase},
		{func(_ *study.Study, m *study.Matte) error { m.Masks[0].Move(1, mask.Here, 2, 2); return nil }, id, StepMasks},
		{func(_ *study.Study, m *study.Matte) error {
			m.Joins = []study.Join{{With: other, How: study.Add}}
			return nil
		}, id, StepMasks},
		{func(_ *study.Study, m *study.Matte) error { m.Trial.Off = true; return nil }, id, StepTrial},
		{func(_ *study.Study, m *study.Matte) error { m.Name = "reel"; return nil }, id, -1},
		{func(_ *study.Study, m *study.Matte) error { m.NotExported = true; return nil }, id, -1},
		{func(_ *study.Study, m *study.Matte) error { m.Note = "x"; return nil }, 0, -1},
		{func(s *study.Study, _ *study.Matte) error { s.AddMatte("new", selection.HSL); return nil }, 0, -1},
		{func(s *study.Study, m *study.Matte) error {
			s.RemoveMatte(m.ID)
			s.AddMatte("other", selection.HSL)
			return nil
		}, id, -1},
	} {
		before := r.Study()
		r.Edit("x", c.change)
		for _, pair := range [2][2]*study.Study{{before, r.Study()}, {r.Study(), before}} {
			matte, st, differ := WhatChanged(pair[0], pair[1])
			assert.True(t, differ)
			if c.matte != id || r.Study().Matte(id) != nil {
				assert.Equal(t, c.matte, matte)
			}
			assert.Equal(t, c.step, st)
		}
	}
	_, _, differ := WhatChanged(r.Study(), r.Study())
	assert.False(t, differ)
	_, _, differ = WhatChanged(nil, r.Study())
	assert.False(t, differ)
}

// Where a change shows: on the frame shown if it does there, else at the nearest key.
func TestWhereSomethingChanged(t *testing.T) {
	r := newRig(t, 24)
	r.AddMask(study.Keep, box(20, 20, 60, 50))
	r.keys(4, 10, 20)
	before := r.Study()
	r.EditMask("Move", func(m *study.Mask) error { m.Move(20, mask.Here, 9, 0); return nil })
	for frame, want := range map[int]int{1: 20, 4: 20, 10: 20, 11: 11, 19: 19, 24: 24} {
		at, ok := WhereChanged(before, r.Study(), r.MatteID, frame)
		assert.True(t, ok, frame)
		assert.Equal(t, want, at, "from frame %d", frame)
		back, _ := WhereChanged(r.Study(), before, r.MatteID, frame)
		assert.Equal(t, at, back, "as well undone as made")
	}
	_, ok := WhereChanged(before, before, r.MatteID, 1)
	assert.False(t, ok)
	before = r.Study()
	r.RenameMatte("reel")
	_, ok = WhereChanged(before, r.Study(), r.MatteID, 1)
	assert.False(t, ok, "a name is not seen")

	first := r.MatteID
	r.NewMatte()
	r.JoinMatte(first, study.Add)
	before = r.Study()
	r.Choose(first)
	r.EditMask("Move", func(m *study.Mask) error { m.Move(20, mask.Here, 9, 0); return nil })
	at, ok := WhereChanged(before, r.Study(), r.Study().Mattes[1].ID, 1)
	assert.True(t, ok)
	assert.Equal(t, 20, at, "of what a matte takes in")

	before = r.Study()
	r.Edit("Exposure", func(s *study.Study, _ *study.Matte) error {
		s.Base.Exposure.SetKey(3, 0, mask.Step)
		s.Base.Exposure.SetKey(15, 1, mask.Step)
		return nil
	})
	for frame, want := range map[int]int{1: 15, 14: 15, 16: 16} {
		at, ok := WhereChanged(before, r.Study(), 0, frame)
		assert.True(t, ok)
		assert.Equal(t, want, at, "of the frame alone")
	}
}
