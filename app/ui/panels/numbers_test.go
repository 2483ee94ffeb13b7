package panels

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/study"
	"halocline/app/ui/look"
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
