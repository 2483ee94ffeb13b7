package proof

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestCompareSaysWhatIsBetterAndWorse(t *testing.T) {
	from := Figures{Separation: value(0.99), Area: value(0.1), EdgeWidth: value(3), Specks: value(7), Holes: value(2), Rim: value(1), Bleed: value(0.2), Misfit: value(0.9), EdgeMismatch: value(0.2)}
	to := Figures{Separation: value(0.995), Area: value(0.2), EdgeWidth: value(9), Specks: value(2), Holes: value(2), Rim: value(0.4), Bleed: value(0.5), Misfit: value(0.88), EdgeMismatch: value(0.1)}
	c := Compare(from, to)
	assert.Equal(t, "Better: separation 99.0 → 99.5, specks 7 → 2, rim 1.00 → 0.40.", c.BetterText())
	assert.Equal(t, "Worse: bleed 0.20 → 0.50.", c.WorseText(), "misfit moved by less than one would call a change")
	back := Compare(to, from)
	assert.Equal(t, changesText(c.Better), mirrored(back.Worse))
	assert.Equal(t, changesText(c.Worse), mirrored(back.Better))
	none := Compare(from, from)
	assert.Equal(t, "Nothing is better.", none.BetterText())
	assert.Equal(t, "Nothing is worse.", none.WorseText())
	from.Misfit, to.Misfit = nil, nil
	assert.Contains(t, Compare(from, to).BetterText(), "edge mismatch 0.200 → 0.100")

	best := BestOf(from, to)
	assert.Equal(t, 0.995, *best.Separation)
	assert.Equal(t, 2., *best.Specks)
	assert.Equal(t, 0.2, *best.Bleed)
	assert.Equal(t, 0.1, *best.Area, "neither is better")
	assert.Equal(t, best, BestOf(best, from))
	assert.Equal(t, 0.995, *BestOf(Figures{}, to).Separation)
}

// mirrored are changes in words, the other way round.
func mirrored(all []Change) string {
	for i := range all {
		all[i].From, all[i].To = all[i].To, all[i].From
	}
	return changesText(all)
}
