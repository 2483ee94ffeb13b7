package staging

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/app/study"
)

// TestEdgeTreatmentAgainstTheTruth says what each setting of the edge costs
// and gains on the skin of five scenes after base: the defaults are chosen by
// it. Gradient is that of Rhemann et al. 2009.
func TestEdgeTreatmentAgainstTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("five scenes at full size")
	}
	const seeds = 5
	type treatment struct {
		name          string
		set           func(e *study.Edge)
		sad, gradient float64
	}
	treatments := []treatment{
		{name: "none", set: func(e *study.Edge) { e.Despeckle.Fix(0) }},
		{name: "despeckle 12", set: func(e *study.Edge) {}},
		{name: "despeckle 48", set: func(e *study.Edge) { e.Despeckle.Fix(48) }},
		{name: "despeckle 200", set: func(e *study.Edge) { e.Despeckle.Fix(200) }},
		{name: "12, align 4", set: func(e *study.Edge) { e.Align.Fix(4) }},
		{name: "12, align 8", set: func(e *study.Edge) { e.Align.Fix(8) }},
		{name: "12, align 4, harden 0.5", set: func(e *study.Edge) { e.Align.Fix(4); e.Harden.Fix(0.5) }},
		{name: "12, harden 0.5", set: func(e *study.Edge) { e.Harden.Fix(0.5) }},
		{name: "12, grow 1", set: func(e *study.Edge) { e.Grow.Fix(1) }},
		{name: "12, grow -1", set: func(e *study.Edge) { e.Grow.Fix(-1) }},
		{name: "12, soften 0.8", set: func(e *study.Edge) { e.Soften.Fix(0.8) }},
		{name: "12, soften 1.2", set: func(e *study.Edge) { e.Soften.Fix(1.2) }},
		{name: "12, soften 2", set: func(e *study.Edge) { e.Soften.Fix(2) }},
		{name: "12, soften 4", set: func(e *study.Edge) { e.Soften.Fix(4) }},
	}
	for seed := 1; seed <= seeds; seed++ {
		_, take := stillOf(t, seed)
		for i := range treatments {
			m := take.Study.Clone().Mattes[0]
			treatments[i].set(&m.Edge)
			matte, err := take.Renderer.Matte(t.Context(), render.Request{Study: take.Study, Settings: &m.Settings, Frame: take.Study.Clip.First})
			require.NoError(t, err)
			s, err := check.Score(t.Context(), matte, take.Frame.Skin, nil)
			require.NoError(t, err)
			treatments[i].sad += s.SAD / seeds
			treatments[i].gradient += s.Gradient / seeds
		}
	}
	for _, s := range treatments {
		t.Logf("%-24s sad %7.0f (%+.1f %%), gradient %6.0f (%+.1f %%)", s.name, s.sad, 100*(s.sad/treatments[0].sad-1), s.gradient, 100*(s.gradient/treatments[0].gradient-1))
	}
	none, usual := treatments[0], treatments[1]
	assert.Less(t, usual.sad, none.sad, "the default is nearer to the truth than no treatment")
	assert.Less(t, usual.gradient, none.gradient)
}
