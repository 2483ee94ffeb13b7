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
	check := func(st Step, want string, how State) {
		t.Helper()
		text, got := st.Summary(s, m, 1)
		assert.Equal(t, want, text)
		assert.Equal(t, how, got)
	}
	check(StepBase, "unchanged", Neutral)
	check(StepPick, "everything", Neutral)
	check(StepMasks, "none yet", Neutral)
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
	check(StepMasks, "1 keep, 1 drop, all off", Neutral)
	m.Edge.Despeckle.Fix(0)
	m.Edge.Soften.Fix(1.25)
	check(StepEdge, "soften 1.25 px", Active)
	text, how := StepPick.Summary(s, nil, 1)
	assert.Equal(t, "no matte", text)
	assert.Equal(t, Neutral, how)
}

func TestStepsHaveNames(t *testing.T) {
	var names []string
	for _, s := range Steps {
		names = append(names, s.String())
	}
	assert.Equal(t, []string{"Base", "Pick", "Masks", "Edge", "Trial"}, names)
}

func TestAMasksKeysAreCounted(t *testing.T) {
	r := newMaskRig(t, 8, 2)
	text, _ := StepMasks.Summary(r.Study(), r.Matte(), 1)
	assert.Equal(t, "1 keep", text)
	r.keys(2, 5)
	text, _ = StepMasks.Summary(r.Study(), r.Matte(), 1)
	assert.Equal(t, "1 keep; 2 keys", text)
}

// A summary is of the frame shown.
func TestASummaryIsOfItsFrame(t *testing.T) {
	r := newRig(t, 8)
	r.Edit("Keys", func(s *study.Study, m *study.Matte) error {
		m.Edge.Despeckle.Fix(0)
		m.Edge.Soften.SetKey(2, 1, mask.Step)
		m.Edge.Soften.SetKey(6, 0, mask.Step)
		s.Base.Contrast.SetKey(2, 1, mask.Step)
		s.Base.Contrast.SetKey(6, 1.25, mask.Step)
		return nil
	})
	for frame, want := range map[int][2]string{3: {"soften 1 px", "unchanged"}, 6: {"untreated", "contrast 1.25"}} {
		edge, _ := StepEdge.Summary(r.Study(), r.Matte(), frame)
		base, _ := StepBase.Summary(r.Study(), r.Matte(), frame)
		assert.Equal(t, want, [2]string{edge, base})
	}
}

func TestNumbersAreWrittenShort(t *testing.T) {
	for v, want := range map[float64]string{1: "1", 1.25: "1.25", 1.257: "1.26", 1.2: "1.2", 0: "0", -0.5: "-0.5", 1e-9: "0", -0.004: "0"} {
		assert.Equal(t, want, Trim(v, 2))
	}
	assert.Equal(t, "1.20", Fixed(1.2, 2))
	for v, want := range map[float64]float64{0: 0, 359: 359, 360: 0, 380: 20, -14: 346, -374: 346, 720: 0} {
		assert.InDelta(t, want, Turned(v), 1e-9)
	}
	assert.Equal(t, "Soften", Capital("soften"))
}

// A range may be given all that a control of its channel offers.
func TestRangesReachTheFullScale(t *testing.T) {
	for _, m := range []selection.Model{selection.HSL, selection.LCh} {
		for c := range selection.Channels {
			assert.GreaterOrEqual(t, RangeTop(m, c), c.FullScale(m), c.Name(m))
		}
	}
}
