package panels

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/cdl"
	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/app/view"
	"halocline/colour"
)

func trialOf(w *window) colour.CDL { return w.desk.Matte().Trial.At(w.desk.Frame).CDL() }

// trialControl is the row of one of the trial's controls.
func trialControl(t testing.TB, w *window, label string) *look.ValueRow {
	t.Helper()
	return stage.Row(t, w.win.Canvas(), label)
}

// The controls write the CDL's numbers, and read back from them.
func TestControlsWriteTheNumbers(t *testing.T) {
	w, h := onSample(t)
	w.desk.GoToStep(desk.StepTrial)
	require.Equal(t, view.Trial, w.desk.View, "it is looked at in its own view")
	h.TypeInRow(t, trialControl(t, w, "Lightness"), "0.5")
	h.TypeInRow(t, trialControl(t, w, "Contrast"), "1.25")
	h.TypeInRow(t, trialControl(t, w, "Blue–orange"), "0.3")
	want, err := colour.NeutralCDL().WithControls(colour.CDLControls{BlueOrange: 0.3, Lightness: 0.5, Contrast: 1.25}, colour.MiddlePivot)
	require.NoError(t, err)
	assertCDL(t, want, trialOf(w))
	assert.Len(t, w.labels(), 3, "each is one edit")
	p := w.column.panels[desk.StepTrial].(*trialPanel)
	assert.InDelta(t, want.Slope[0], p.rows[0].numbers[0].Value(), 1e-9)
	assert.InDelta(t, 1.25, p.rows[2].numbers[1].Value(), 1e-9)
	assert.InDelta(t, 0.5, trialControl(t, w, "Lightness").Value(), 1e-9)
	assert.Empty(t, p.leftover.Text())
	text, how := desk.StepTrial.Summary(w.desk.Study(), w.desk.Matte(), w.desk.Frame)
	assert.Equal(t, "lighter +0.50, orange +0.30, contrast 1.25", text)
	assert.Equal(t, desk.Active, how)

	for label, v := range map[string]string{"Lightness": "0", "Contrast": "1", "Blue–orange": "0"} {
		h.TypeInRow(t, trialControl(t, w, label), v)
	}
	assert.True(t, trialOf(w).IsNeutral(), "set back, it is as it came to the bit: %v", trialOf(w))
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

// What no control can say is said in words, and stays when a control moves.
func TestWhatIsLeftOver(t *testing.T) {
	w, h := onSample(t)
	w.desk.TakeCDL(cdl.Correction{CDL: colour.CDL{Slope: [3]float64{1.1, 1, 0.9}, Offset: [3]float64{0.02, 0, 0}, Power: [3]float64{1, 1.2, 1}, Saturation: 1.1}})
	assert.Equal(t, desk.StepTrial, w.desk.Step)
	p := w.column.panels[desk.StepTrial].(*trialPanel)
	assert.Equal(t, "left over: offsets, powers that differ", p.leftover.Text())
	h.TypeInRow(t, trialControl(t, w, "Lightness"), "1")
	d := trialOf(w)
	assert.Equal(t, [3]float64{0.02, 0, 0}, d.Offset)
	assert.InDelta(t, 1.2, d.Power[1]/d.Power[0], 1e-9, "their ratio")
	assert.Equal(t, 1.1, d.Saturation)
}

// Files of grades are asked for over the window.
func TestCDLFilesAreAskedFor(t *testing.T) {
	w, h := onSample(t)
	w.desk.GoToStep(desk.StepTrial)
	h.PressOn(t, h.Button(t, "Read…"))
	h.PressOn(t, h.Button(t, "Write…"))
	assert.Equal(t, []string{"read", "write"}, w.asked)
	w.desk.EditMatte("Grade", func(m *study.Matte) error { m.Trial.Slope[0].Fix(1.5); return nil })
	h.PressOn(t, h.Button(t, "Reset"))
	assert.True(t, trialOf(w).IsNeutral())
}
