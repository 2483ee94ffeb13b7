package selection

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// sandPick keeps warm, pale, middling colours.
var sandPick = Pick{Model: HSL, Limits: [3]Limit{
	{Range: Range{From: 20, To: 58, Before: 6, After: 10}},
	{Range: Range{From: 0.1, To: 0.7, Before: 0.1, After: 0.2}},
	{Range: Range{From: 0.3, To: 0.66, Before: 0.1, After: 0.1}},
}}

func TestReasonIsTheChannelOfTheSmallestWeight(t *testing.T) {
	for name, c := range map[string]struct {
		at   Point
		want Reason
		say  string
	}{
		"in":                  {Point{40, 0.5, 0.5}, In, "in: weighs 1.00"},
		"in on a fade":        {Point{60, 0.5, 0.5}, In, "in: weighs 0.90"},
		"lightness above":     {Point{40, 0.5, 0.73}, ByLight, "out: lightness 0.73 is above 0.66"},
		"lightness below":     {Point{40, 0.5, 0.21}, ByLight, "out: lightness 0.21 is below 0.30"},
		"saturation above":    {Point{40, 0.95, 0.5}, BySat, "out: saturation 0.95 is above 0.70"},
		"saturation below":    {Point{40, 0.01, 0.5}, BySat, "out: saturation 0.01 is below 0.10"},
		"hue above":           {Point{110, 0.5, 0.5}, ByHue, "out: hue 110° is above 58°"},
		"hue below, over 0":   {Point{350, 0.5, 0.5}, ByHue, "out: hue 350° is below 20°"},
		"a grey":              {Point{colour.NoHue, 0, 0.5}, ByHue, "out: a grey has no hue"},
		"all out: the first":  {Point{200, 1, 1}, ByHue, "out: hue 200° is above 58°"},
		"two out: the first":  {Point{40, 1, 1}, BySat, "out: saturation 1.00 is above 0.70"},
		"the least of two":    {Point{65, 0.5, 0.73}, ByHue, "out: hue 65° is above 58°"},  // 0.216; both fades at 7/10
		"none alone":          {Point{62, 0.75, 0.5}, In, "in: weighs 0.55"},               // 0.648 * 0.844
		"together, not alone": {Point{62, 0.775, 0.5}, ByHue, "out: hue 62° is above 58°"}, // 0.648 * 0.684
		"digits until they differ": {Point{40, 0.5, 0.7600001}, ByLight,
			"out: lightness 0.76 is above 0.66"},
	} {
		assert.Equal(t, c.want, sandPick.Reason(c.at), name)
		assert.Equal(t, c.say, sandPick.Explain(c.at), name)
		if c.want != In {
			assert.Equal(t, c.want, sandPick.Weakest(c.at), name)
		}
	}
	assert.Equal(t, ByHue, sandPick.Weakest(Point{40, 0.5, 0.5}), "all equal: the first")
	assert.Equal(t, BySat, sandPick.Weakest(Point{60, 0.76, 0.5}), "the least, though the pick keeps it") // 0.896 * 0.784
}

func TestExplain(t *testing.T) {
	hard := Pick{Model: LCh, Limits: [3]Limit{
		{Range: Range{From: 350, To: 370.2}},
		{Range: Range{From: 20, To: 60}},
		{Range: Range{From: 30, To: 50, Before: 10, After: 10}, Inverted: true}}}
	for name, c := range map[string]struct {
		at  Point
		say string
	}{
		"one digit more":           {Point{0, 60.004, 80}, "out: chroma 60.004 is above 60.000"},
		"two hues of one rounding": {Point{10.4, 30, 80}, "out: hue 10.4° is above 10.2°"},
		"not 360":                  {Point{180, 30, 80}, "out: hue 180° is above 10°"},
		"the nearer end":           {Point{340, 30, 80}, "out: hue 340° is below 350°"},
		"inverted":                 {Point{0, 30, 40}, "out: lightness 40.0 lies in 30.0 to 50.0, and all but this is picked"},
		"inverted, on a fade":      {Point{0, 30, 54}, "out: lightness 54.0 lies close to 30.0 to 50.0, and all but this is picked"},
		"clear of the inverted":    {Point{0, 30, 65}, "in: weighs 1.00"},
	} {
		assert.Equal(t, c.say, hard.Explain(c.at), name)
	}
	off := Pick{Model: LCh}
	for c := range off.Limits {
		off.Limits[c].Off = true
	}
	assert.Equal(t, "in: weighs 1.00", off.Explain(Point{colour.NoHue, 0, 0}), "all channels off keep everything")
	assert.Equal(t, "0°", number(HSL, Hue, 359.7, 0), "a hue is never written 360")
	assert.Equal(t, "359.7°", number(HSL, Hue, 359.7, 1))
}

func TestReasonsOfAPictureFollowMatteAndFormula(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 3))
	w := new(Weigher)
	var matte colour.Plane
	var reasons []Reason
	var err error
	rounds := 100
	if testing.Short() {
		rounds = 15
	}
	for i := range rounds {
		src := awkwardImage(rng, 60, 50)
		p := randomPick(rng, Model(i%2))
		if i%3 == 0 {
			p = sharpPick(rng, Model(i%2), src)
		}
		w.Set(p)
		require.NoError(t, matteOf(t.Context(), w, &matte, src, 2))
		reasons, err = w.Reasons(t.Context(), reasons, src, 2)
		require.NoError(t, err)
		for k, got := range reasons {
			v := p.Model.At(src.RGB(k%60, k/60))
			require.Equal(t, matte.Pix[k] >= 0.5, got == In, "%+v: %v weighs %v, reason %d", p, v, matte.Pix[k], got)
			if weight := p.Weight(v); math.Abs(weight-0.5) > 0.001 {
				require.Equal(t, p.Reason(v) == In, got == In, "%+v at %v", p, v)
			}
			if got == In {
				continue
			}
			// Weights within the fast form's error of each other are equal.
			weights := p.weights(v)
			least := min(weights[Hue], weights[Sat], weights[Light])
			require.InDelta(t, least, weights[got-ByHue], 0.001, "%+v at %v", p, v)
		}
	}
}

func TestReasonsAreThoseOfOneWorker(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 3))
	src := awkwardImage(rng, 77, 133)
	w := new(Weigher)
	w.Set(randomPick(rng, LCh))
	want, err := w.Reasons(t.Context(), nil, src, 1)
	require.NoError(t, err)
	got, err := w.Reasons(t.Context(), make([]Reason, 3), src, 7)
	require.NoError(t, err)
	require.Equal(t, want, got)

	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = w.Reasons(ctx, nil, src, 2)
	require.ErrorIs(t, err, context.Canceled)
}
