package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/check/shot"
	"halocline/app/desk/watch"
	"halocline/selection"
)

func TestTheVerdictOnSeparation(t *testing.T) {
	of := func(set, could float64) *selection.Separation {
		var s selection.Separation
		s.Pick.Set.Value, s.Pick.Could.Value = set, could
		return &s
	}
	for _, tt := range []struct {
		p             *selection.Separation
		masked, stale bool
		want, advice  string
	}{
		{of(0.97, 0.98), false, true, "Base changed since the dabs: look at Pick", "works the ranges out again"},
		{of(0.8, 0.83), false, false, "Colour alone cannot do it: draw a keep mask", "tells 83 of 100"},
		{of(0.8, 0.83), true, false, "Tells 83 of 100 apart; the mask does the rest", "mask's edge"},
		{of(0.9, 0.97), false, false, "Tells 90 of 100 apart as set; could tell 97", "Suggest from dabs"},
		{of(0.94, 0.97), true, false, "Colour tells 97 of 100 pairs of pixels apart", "Still wrong somewhere? Dab there."},
		{of(0.9, 0.9), false, false, "Colour tells 90 of 100 pairs of pixels apart", "Still wrong somewhere? Dab there."},
	} {
		sentence, advice := VerdictOf(tt.p, tt.masked, tt.stale)
		assert.Equal(t, tt.want, sentence)
		assert.Contains(t, advice, tt.advice)
	}
}

func TestAdviceByTheTruth(t *testing.T) {
	for _, tt := range []struct {
		missed, extra float64
		want          string
	}{
		{0.04, 0.04, "Little is left to gain"}, {0.04, 0.94, "More extra than missed"},
		{0.3, 0.04, "More missed than extra"}, {0.2, 0.25, "About as much"}, {0, 0.05, "More extra"},
	} {
		assert.Contains(t, TruthAdvice(tt.missed, tt.extra), tt.want, tt)
	}
}

func TestTheClipInWords(t *testing.T) {
	judged := []shot.Judged{{}}
	for _, tt := range []struct {
		v    watch.Verdict
		bad  int
		want string
	}{
		{watch.Verdict{}, 0, "The clip is not judged yet"},
		{watch.Verdict{Of: 9}, 0, "The clip is not judged yet"},
		{watch.Verdict{Of: 9, Judged: judged}, 0, "No frame stands out"},
		{watch.Verdict{Of: 9, Judged: judged, Left: 3}, 0, "No frame stands out so far"},
		{watch.Verdict{Of: 9, Judged: judged, Left: 3}, 2, "Worst frames"},
	} {
		assert.Equal(t, tt.want, ClipWords(tt.v, tt.bad))
	}
}

func TestEstimatesAsFigures(t *testing.T) {
	for v, want := range map[float64]struct {
		text string
		bar  float64
	}{0.3: {"30", 0}, 0.5: {"50", 0}, 0.75: {"75", 0.5}, 0.996: {"100", 0.992}, 1: {"100", 1}} {
		assert.Equal(t, want.text, Hundred(selection.Estimate{Value: v}))
		assert.InDelta(t, want.bar, AboveChance(selection.Estimate{Value: v}), 1e-9)
	}
}
