package desk

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/cdl"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
	"halocline/mask"
)

func (r *rig) cdl() colour.CDL { return r.Matte().Trial.At(r.Frame).CDL() }

// control sets one of the four controls, as a drag's end does.
func (r *rig) control(c study.Control, v float64) {
	r.Grade("Trial: "+c.Label, study.Done, func(k *colour.CDLControls) { *c.Of(k) = v })
}

func assertCDL(t *testing.T, want, got colour.CDL) {
	t.Helper()
	for c := range 3 {
		assert.InDelta(t, want.Slope[c], got.Slope[c], 1e-7)
		assert.InDelta(t, want.Offset[c], got.Offset[c], 1e-7)
		assert.InDelta(t, want.Power[c], got.Power[c], 1e-7)
	}
	assert.InDelta(t, want.Saturation, got.Saturation, 1e-7)
}

// The controls write the CDL's numbers, and read back from them, whatever the order
// in which they are set.
func TestControlsWriteTheNumbers(t *testing.T) {
	values := map[string]float64{"lightness": 0.5, "contrast": 1.25, "blueOrange": 0.3, "greenMagenta": -0.2}
	want, err := colour.NeutralCDL().WithControls(colour.CDLControls{BlueOrange: 0.3, GreenMagenta: -0.2, Lightness: 0.5, Contrast: 1.25}, colour.MiddlePivot)
	require.NoError(t, err)
	for first := range study.Controls {
		r := newRig(t, 1)
		for i := range study.Controls {
			c := study.Controls[(first+i)%len(study.Controls)]
			r.control(c, values[c.Name])
		}
		assertCDL(t, want, r.cdl())
		assert.Len(t, r.labels(), 4, "each is one edit")
		k, leftover := ReadControls(r.cdl(), colour.MiddlePivot)
		assert.False(t, leftover)
		for _, c := range study.Controls {
			assert.InDelta(t, values[c.Name], *c.Of(&k), 1e-9, c.Name)
		}
		text, how := StepTrial.Summary(r.Study(), r.Matte(), 1)
		assert.Equal(t, "lighter +0.50, orange +0.30, green +0.20, contrast 1.25", text)
		assert.Equal(t, Active, how)
		for _, c := range study.Controls {
			r.control(c, c.Neutral)
		}
		assert.True(t, r.cdl().IsNeutral(), "set back, it is as it came to the bit: %v", r.cdl())
	}
}

// A control on its way is of the trial as it was: the last place counts alone.
func TestADragOfAControl(t *testing.T) {
	r := newRig(t, 1)
	light := study.Controls[0]
	set := func(v float64, p study.Phase) {
		r.Grade("Trial: lightness", p, func(k *colour.CDLControls) { *light.Of(k) += v })
	}
	for _, v := range []float64{0.1, 0.7, 2, 0.4} {
		set(v, study.Moved)
	}
	set(1, study.Done)
	assert.InDelta(t, 2, r.cdl().Slope[1], 1e-9, "one stop")
	assert.Equal(t, []string{"Trial: lightness"}, r.labels())
	set(1, study.Moved)
	set(1, study.Cancelled)
	assert.InDelta(t, 2, r.cdl().Slope[1], 1e-9)
	r.control(light, 40)
	assert.Equal(t, "Trial: lightness: not done", r.lastProblem().What)
	assert.InDelta(t, 2, r.cdl().Slope[1], 1e-9)
}

// The pivot turns contrast about another value: what the controls read stays, in the
// study and in its undo.
func TestThePivotIsKept(t *testing.T) {
	for _, pivot := range []float64{0.2, 0.35, 0.8} {
		r := newRig(t, 1)
		r.control(study.Controls[1], 1.5)
		r.control(study.Controls[2], 0.4)
		before := r.cdl()
		r.SetPivot(pivot, study.Done)
		assert.Equal(t, pivot, r.Matte().Trial.Pivot)
		assert.NotEqual(t, before, r.cdl())
		k, _ := ReadControls(r.cdl(), pivot)
		assert.InDelta(t, 0, k.Lightness, 1e-6)
		assert.InDelta(t, 1.5, k.Contrast, 1e-6)
		assert.InDelta(t, 0.4, k.BlueOrange, 1e-6)
		path := t.TempDir() + "/a" + study.Ending
		require.NoError(t, study.Save(path, r.Study()))
		again, err := study.Load(path)
		require.NoError(t, err)
		assert.Equal(t, pivot, again.Mattes[0].Trial.Pivot)
		r.Undo()
		assert.Equal(t, before, r.cdl())
		assert.Equal(t, colour.MiddlePivot, r.Matte().Trial.Pivot)
	}
	r := newRig(t, 1)
	r.control(study.Controls[1], 1.5)
	r.SetPivot(0.2, study.Done)
	grey := r.cdl().Colour(colour.RGB{R: 0.2, G: 0.2, B: 0.2})
	assert.InDelta(t, 0.2, grey.G, 1e-6, "the pivot is left alone")
}

func TestANumberOfATrial(t *testing.T) {
	for _, name := range []string{"slope", "offset", "power"} {
		for c, word := range ChannelWords {
			r := newRig(t, 1)
			r.SlideTrial(name, c, 0.3, study.Moved)
			r.SlideTrial(name, c, 0.5, study.Done)
			assert.Equal(t, []string{fmt.Sprintf("Trial: %s of %s", name, word)}, r.labels())
			for i, n := range TripleOf(&r.Study().Mattes[0].Trial, name) {
				assert.Equal(t, i == c, n.At(1) == 0.5, "%s %d", name, i)
			}
		}
	}
	assert.Nil(t, TripleOf(new(study.Trial), "saturation"))
}

func TestACorrectionIsTaken(t *testing.T) {
	r := newRig(t, 4)
	r.View = view.Hatch
	c := cdl.Correction{ID: "warm", CDL: colour.CDL{Slope: [3]float64{1.1, 1, 0.9}, Offset: [3]float64{0.02, 0, 0}, Power: [3]float64{1, 1.2, 1}, Saturation: 1.1}}
	r.TurnTrial(false)
	r.TakeCDL(c)
	assert.Equal(t, c.CDL, r.cdl())
	assert.False(t, r.Matte().Trial.Off, "it grades")
	assert.Equal(t, StepTrial, r.Step)
	assert.Equal(t, view.Trial, r.View)
	assert.Equal(t, "Trial from a CDL file", r.labels()[0])
	assert.Equal(t, "left over: offsets, powers that differ", LeftOverText(r.cdl(), colour.MiddlePivot))
	r.control(study.Controls[0], 1)
	assert.Equal(t, [3]float64{0.02, 0, 0}, r.cdl().Offset, "what no control can say stays")
	assert.InDelta(t, 1.2, r.cdl().Power[1]/r.cdl().Power[0], 1e-9)
	assert.Equal(t, 1.1, r.cdl().Saturation)
	r.SetPivot(0.3, study.Done)
	r.ResetTrial()
	assert.True(t, r.cdl().IsNeutral())
	assert.Equal(t, colour.MiddlePivot, r.Matte().Trial.Pivot)
	assert.Equal(t, ResetTrialLabel, r.labels()[0])
}

// A keyed trial takes a correction, or a control, as keys of the frame shown.
func TestATrialOverTime(t *testing.T) {
	r := newRig(t, 8)
	slope := ValueID{StepTrial, "slope"}
	r.value(slope, func(v OverTime) { v.Add(8) })
	r.GoToFrame(4)
	r.control(study.Controls[0], 1)
	assert.Equal(t, []int{4, 8}, r.framesOf(slope))
	assert.InDelta(t, 2, r.Matte().Trial.At(4).Slope[1], 1e-9)
	assert.InDelta(t, 1, r.Matte().Trial.At(8).Slope[1], 1e-9)
	r.GoToFrame(2)
	r.SlideTrial("slope", 0, 3, study.Done)
	assert.Equal(t, []int{2, 4, 8}, r.framesOf(slope))
	assert.Equal(t, 3.0, r.Matte().Trial.At(1).Slope[0])
}

// The view of a trial is offered while something grades, or is about to.
func TestWhenTheTrialsViewStands(t *testing.T) {
	r := newRig(t, 3)
	r.View = view.Hatch
	assert.False(t, r.TrialStands())
	r.GoToStep(StepTrial)
	assert.True(t, r.TrialStands(), "while Trial is open")
	r.GoToStep(StepPick)
	assert.False(t, r.TrialStands())
	r.Other = view.Trial
	assert.False(t, r.TrialStands())
	r.Compare = true
	assert.True(t, r.TrialStands(), "beside another")
	r.Compare = false
	r.View = view.Trial
	assert.True(t, r.TrialStands())
	r.View = view.Hatch
	r.SlideTrial("slope", 0, 2, study.Done)
	r.NewMatte()
	assert.True(t, r.TrialStands(), "another matte grades")
	r.NextMatte(-1)
	r.TurnTrial(false)
	assert.False(t, r.TrialStands(), "it is off")
	r.TurnTrial(true)
	r.set(func(m *study.Matte) {
		m.Trial.Slope[0] = study.Number{}
		m.Trial.Slope[0].SetKey(1, 1, mask.Step)
		m.Trial.Slope[0].SetKey(3, 2, mask.Step)
	})
	assert.False(t, r.TrialStands(), "not on this frame")
	r.GoToFrame(3)
	assert.True(t, r.TrialStands())
}

func TestGradesInWords(t *testing.T) {
	neutralCDL := colour.NeutralCDL()
	with := func(change func(d *colour.CDL)) colour.CDL {
		d := neutralCDL
		change(&d)
		return d
	}
	for _, tt := range []struct {
		d    colour.CDL
		want string
		how  State
	}{
		{neutralCDL, "unchanged", Neutral},
		{with(func(d *colour.CDL) { d.Slope = [3]float64{2, 2, 2} }), "lighter +1.00", Active},
		{with(func(d *colour.CDL) { d.Slope = [3]float64{0.5, 0.5, 0.5} }), "darker +1.00", Active},
		{with(func(d *colour.CDL) { d.Saturation = 0.5 }), "saturation 0.5", Active},
		{with(func(d *colour.CDL) { d.Saturation = 1.001 }), "slightly graded", Active},
		{with(func(d *colour.CDL) { d.Offset[1] = 0.1 }), "offsets", Active},
		{with(func(d *colour.CDL) { d.Slope[2] = 0 }), "a slope of 0", Active},
	} {
		text, how := trialSummary(study.TrialAt{Slope: tt.d.Slope, Offset: tt.d.Offset, Power: tt.d.Power, Saturation: tt.d.Saturation}, colour.MiddlePivot)
		assert.Contains(t, text, tt.want)
		assert.Equal(t, tt.how, how, tt.want)
		off, how := trialSummary(study.TrialAt{Off: true, Slope: tt.d.Slope, Offset: tt.d.Offset, Power: tt.d.Power, Saturation: tt.d.Saturation}, colour.MiddlePivot)
		assert.Equal(t, Neutral, how, "what is off changes nothing")
		if tt.how == Active {
			assert.Equal(t, "off: "+text, off)
		}
	}
	assert.Empty(t, LeftOverText(neutralCDL, colour.MiddlePivot))
}
