package ui

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

func TestTypedNumbersKeepARange(t *testing.T) {
	r := selection.Range{From: 0.2, To: 0.6, Before: 0.1, After: 0.1}
	assert.Equal(t, selection.Range{From: 0.7, To: 0.7, Before: 0.1, After: 0.1}, withNumber(selection.HSL, selection.Sat, r, 1, 0.7), "to gives way")
	assert.Equal(t, selection.Range{From: 0.1, To: 0.1, Before: 0.1, After: 0.1}, withNumber(selection.HSL, selection.Sat, r, 2, 0.1), "from gives way")
	assert.Equal(t, 0.3, withNumber(selection.HSL, selection.Sat, r, 3, 0.3).After)
	hue := selection.Range{From: 350, To: 370}
	across := withNumber(selection.HSL, selection.Hue, hue, 2, 22)
	assert.InDelta(t, 32, across.Span(), 1e-9, "from 350 through 0 to 22")
	across = withNumber(selection.HSL, selection.Hue, hue, 1, 5)
	assert.InDelta(t, 5, across.Span(), 1e-9, "from 5 to 10")
}

func flatDab(keep bool, c colour.RGB, n int) selection.Dab {
	d := selection.Dab{Keep: keep}
	for i := range n {
		f := 1 + 0.02*float64(i%5)
		d.Colours = append(d.Colours, colour.RGB{R: c.R * f, G: c.G * f, B: c.B})
	}
	return d
}

func TestADabOnAPickThatFollowsDabsFitsItAgain(t *testing.T) {
	skin := flatDab(true, colour.RGB{R: 0.7, G: 0.5, B: 0.4}, 50)
	sand := flatDab(false, colour.RGB{R: 0.6, G: 0.57, B: 0.45}, 50)
	fresh := study.NewSettings(selection.LCh)
	everything := fresh.Pick.At(1)
	none, fits := desk.PickWith(everything, true, []selection.Dab{sand})
	assert.Equal(t, everything, none, "nothing to keep yet")
	assert.True(t, fits, "the next dab may bring it")
	one, _ := desk.PickWith(everything, true, []selection.Dab{skin})
	two, fits := desk.PickWith(one, true, []selection.Dab{skin, sand})
	want, err := selection.Fit([]selection.Dab{skin, sand}, selection.LCh)
	assert.NoError(t, err)
	assert.Equal(t, want.Pick, two)
	assert.True(t, fits)
}

func TestADabOnAPickSetByHandOnlyOpensIt(t *testing.T) {
	skin := flatDab(true, colour.RGB{R: 0.7, G: 0.5, B: 0.4}, 50)
	pale := flatDab(true, colour.RGB{R: 0.8, G: 0.7, B: 0.62}, 50)
	sand := flatDab(false, colour.RGB{R: 0.6, G: 0.57, B: 0.45}, 50)
	everything := study.NewSettings(selection.HSL)
	tuned, _ := desk.PickWith(everything.Pick.At(1), true, []selection.Dab{skin})
	tuned.Limits[selection.Light].From += 0.05
	left, fits := desk.PickWith(tuned, false, []selection.Dab{skin, sand})
	assert.Equal(t, tuned, left, "a drop dab leaves it")
	assert.False(t, fits)
	wide, fits := desk.PickWith(tuned, false, []selection.Dab{skin, pale})
	assert.False(t, fits)
	assert.GreaterOrEqual(t, wide.Weight(selection.HSL.At(pale.Colours[25])), 0.99)
	assert.Equal(t, tuned.Limits[selection.Light].From, wide.Limits[selection.Light].From, "the other end stays")
}

func TestDifferencesAreSaid(t *testing.T) {
	a := selection.Pick{Model: selection.HSL}
	a.Limits[selection.Hue].Range = selection.Range{From: 15, To: 28}
	a.Limits[selection.Light].Off = true
	b := a
	b.Limits[selection.Hue].To = 31
	b.Limits[selection.Light] = selection.Limit{Range: selection.Range{From: 0.2, To: 0.8}}
	assert.Equal(t, []string{"hue 15–28 becomes hue 15–31", "light off becomes light 0.20–0.80"}, desk.Differences(a, b))
	assert.Empty(t, desk.Differences(a, a))
}
