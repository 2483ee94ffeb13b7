package panels

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/app/work"
	"halocline/colour"
)

func TestHowMuchIsBeyondRepair(t *testing.T) {
	w, h := onSample(t)
	w.desk.GoToStep(desk.StepBase)
	w.beyond = 0.25
	c := w.win.Canvas()
	assert.False(t, stage.Says(c, "25 %"))
	h.PressOn(t, stage.Hinted[*look.Switch](t, c, "Mark with plus signs"))
	assert.True(t, w.desk.ShowBeyond)
	assert.True(t, stage.Says(c, "25 %"))
}

// Water that is switched off and on again is of the kind that it was.
func TestTheWaterIsSwitched(t *testing.T) {
	w, h := onSample(t)
	w.desk.Edit("No water", func(s *study.Study, _ *study.Matte) error {
		s.Base.Water = ""
		s.Base.Path.Fix(0)
		return nil
	})
	w.desk.GoToStep(desk.StepBase)
	on := stage.Hinted[*look.Switch](t, w.win.Canvas(), "Take the water out")
	water := func() string { return w.desk.Study().Base.Water }
	h.PressOn(t, on)
	assert.Equal(t, w.column.panels[desk.StepBase].(*basePanel).lastWater, water())
	assert.Equal(t, float64(work.StartPath), w.desk.Study().Base.Path.At(w.desk.Frame), "it is some way off")

	names := colour.WaterNames()
	other := names[len(names)-1]
	require.NotEqual(t, other, water())
	w.column.panels[desk.StepBase].(*basePanel).setWater(other)
	assert.Equal(t, other, water())
	h.PressOn(t, on)
	assert.Empty(t, water())
	h.PressOn(t, on)
	assert.Equal(t, other, water())
}
