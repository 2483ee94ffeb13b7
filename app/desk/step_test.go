package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

func TestSummaries(t *testing.T) {
	s := study.New(study.Clip{Path: "/a.png", First: 1, Count: 1})
	m := s.AddMatte("skin", selection.HSL)
	check := func(st Step, want string, how state) {
		t.Helper()
		text, got := st.Summary(s, m, 1)
		assert.Equal(t, want, text)
		assert.Equal(t, how, got)
	}
	check(StepBase, "unchanged", neutral)
	check(StepPick, "everything", neutral)
	check(StepMasks, "none yet", neutral)
	check(StepEdge, "despeckle 12", Active)

	s.Base.Water = "IB"
	s.Base.Path.Fix(2.4)
	s.Base.Exposure.Fix(0.3)
	check(StepBase, "water IB out, 2.4 m, exposure +0.3", Active)
	m.Pick.Limits[selection.Hue] = study.Limit{Soft: study.ConstantRange(selection.Range{From: -14, To: 29})}
	m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 0.38, To: 0.82}), Inverted: true}
	check(StepPick, "hue 346–29, not light 0.38–0.82", Active)
	key := study.MaskKey{Frame: 1, Opacity: 1, Points: []mask.Point{{X: 0, Y: 0}, {X: 9, Y: 0}, {X: 9, Y: 9}}}
	s.AddMask(m, "a", study.Keep, key)
	s.AddMask(m, "b", study.Drop, key).Off = true
	check(StepMasks, "1 keep, 1 drop", Active)
	m.Masks[0].Off = true
	check(StepMasks, "1 keep, 1 drop, all off", neutral)
	m.Edge.Despeckle.Fix(0)
	m.Edge.Soften.Fix(1.25)
	check(StepEdge, "soften 1.25 px", Active)
	text, how := StepPick.Summary(s, nil, 1)
	assert.Equal(t, "no matte", text)
	assert.Equal(t, neutral, how)
}

func TestWhatChanged(t *testing.T) {
	d := newRig(t, 1)
	id := d.MatteID
	for _, c := range []struct {
		change func(*study.Study, *study.Matte) error
		matte  int
		step   Step
	}{
		{softened(2), id, StepEdge},
		{func(_ *study.Study, m *study.Matte) error { m.Pick.Smooth = false; return nil }, id, StepPick},
		{func(s *study.Study, m *study.Matte) error { s.AddDab(m, study.Dab{Frame: 1, Radius: 2}); return nil }, id, StepPick},
		{func(s *study.Study, _ *study.Matte) error { s.Base.Exposure.Fix(1); return nil }, 0, StepBase},
		{func(_ *study.Study, m *study.Matte) error { m.Name = "reel"; return nil }, id, -1},
		{func(s *study.Study, _ *study.Matte) error { s.AddMatte("new", selection.HSL); return nil }, 0, -1},
	} {
		before := d.Study()
		d.Edit("x", c.change)
		matte, st, differ := WhatChanged(before, d.Study())
		assert.True(t, differ)
		assert.Equal(t, c.matte, matte)
		assert.Equal(t, c.step, st)
	}
	_, _, differ := WhatChanged(d.Study(), d.Study())
	assert.False(t, differ)
}
