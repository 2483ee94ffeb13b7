package panels

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
)

// A setting is shown as the table has it; a share in percent.
func TestSpecs(t *testing.T) {
	s := study.Spec{Label: "grow", Unit: "px", Hint: "wider", Min: -8, Max: 8, Low: -4, High: 4, Increment: 0.25, Decimals: 2}
	assert.Equal(t, look.Spec{
		Label: "Grow", Unit: "px", Hint: "wider", Min: -8, Max: 8, Low: -4, High: 4, Increment: 0.25, Decimals: 2,
		Signed: true, Tick: true, // neutral lies within what the slider reaches
	}, specOf(s))
	share := inPercent(study.Spec{Label: "opacity", Max: 1, High: 1, Increment: 0.01, Neutral: 1, Decimals: 2})
	assert.Equal(t, look.Spec{Label: "Opacity", Unit: "%", Max: 100, High: 100, Increment: 1, Neutral: 100}, share)
}

// Wherever a wrong number is typed, the status row says what is wrong with it.
func TestWrongNumbersAreSaidInEveryStep(t *testing.T) {
	w, h := onClip(t)
	for st, name := range map[desk.Step]string{
		desk.StepBase: "Exposure", desk.StepMasks: study.InwardSpec.Title(), desk.StepEdge: "Soften", desk.StepTrial: "Lightness",
	} {
		w.desk.GoToStep(st)
		w.wrong = ""
		h.TypeInRow(t, stage.Row(t, w.win.Canvas(), name), "1e9")
		assert.NotEmpty(t, w.wrong, "%s: %s", st, name)
		h.Key(fyne.KeyEscape, 0)
	}
}
