package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// slowWeight is a range on a line as DESIGN reads: 1 on [from,to], 3u^2-2u^3
// down to 0 over the fade on each side, a fade of 0 a hard edge.
func slowWeight(r Range, v float64) float64 {
	switch {
	case r.From <= v && v <= r.To:
		return 1
	case r.From-r.Before < v && v < r.From:
		u := (v - (r.From - r.Before)) / r.Before
		return 3*math.Pow(u, 2) - 2*math.Pow(u, 3)
	case r.To < v && v < r.To+r.After:
		u := (r.To + r.After - v) / r.After
		return 3*math.Pow(u, 2) - 2*math.Pow(u, 3)
	}
	return 0
}

// slowHueWeight looks at the hue in every turn that the range may reach, as on
// a line: a hue is itself plus any number of turns.
func slowHueWeight(r Range, h float64) float64 {
	from := math.Mod(math.Mod(r.From, 360)+360, 360)
	width := math.Mod(math.Mod(r.To-r.From, 360)+360, 360)
	if r.To-r.From >= 360 {
		width = 360
	}
	line := Range{From: from, To: from + width, Before: r.Before, After: r.After}
	h = math.Mod(math.Mod(h, 360)+360, 360)
	most := 0.0
	for turn := -3.; turn <= 3; turn++ {
		most = math.Max(most, slowWeight(line, h+360*turn))
	}
	return most
}

// randomRange has ends in eighths of a unit, so that sums of them are exact.
func randomRange(rng *rand.Rand, unit float64, circular bool) Range {
	eighths := func(n int) float64 { return float64(rng.IntN(8*n+1)) / 8 * unit }
	r := Range{From: eighths(360), To: eighths(360), Before: eighths(20), After: eighths(20)}
	if rng.IntN(3) == 0 {
		r.Before = 0
	}
	if rng.IntN(3) == 0 {
		r.After = 0
	}
	if rng.IntN(4) == 0 {
		r.Before = eighths(300)
	}
	if !circular && r.From > r.To {
		r.From, r.To = r.To, r.From
	}
	return r
}

func TestSmoothstepIsThePublishedCubic(t *testing.T) {
	for _, row := range testdata.Table(t, "smoothstep.csv") {
		v := row.Numbers("t", "smoothstep")
		assert.InDelta(t, v[1], smoothstep(v[0]), 1e-12, "u %g", v[0])
		// The same numbers on both fades of a range, and on the circle.
		r := Range{From: 20, To: 30, Before: 10, After: 5}
		assert.InDelta(t, v[1], r.Weight(10+10*v[0]), 1e-12)
		assert.InDelta(t, v[1], r.Weight(35-5*v[0]), 1e-12)
		assert.InDelta(t, v[1], r.HueWeight(colour.Degrees(370+10*v[0])), 1e-12)
	}
}

func TestWeightIsItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 20000 {
		r := randomRange(rng, 1./360, false)
		for _, v := range []float64{r.From, r.To, r.From - r.Before, r.To + r.After, 1.6*rng.Float64() - 0.3, (r.From + r.To) / 2} {
			require.InDelta(t, slowWeight(r, v), r.Weight(v), 1e-9, "%+v at %v", r, v)
		}
	}
}

func TestHueWeightIsItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	for range 20000 {
		r := randomRange(rng, 1, true)
		for _, h := range []float64{r.From, r.To, r.From - r.Before, r.To + r.After, float64(rng.IntN(2880)) / 8, 720*rng.Float64() - 360} {
			require.InDelta(t, slowHueWeight(r, h), r.HueWeight(colour.Degrees(h)), 1e-9, "%+v at %v", r, h)
		}
	}
}

func TestRanges(t *testing.T) {
	for name, c := range map[string]struct {
		r    Range
		hue  bool
		want map[float64]float64 // value: weight
	}{
		"hard edges belong to the range": {Range{From: 0.25, To: 0.5}, false, map[float64]float64{
			0.25: 1, 0.5: 1, math.Nextafter(0.25, 0): 0, math.Nextafter(0.5, 1): 0}},
		"a single value":             {Range{From: 0.5, To: 0.5}, false, map[float64]float64{0.5: 1, 0.5000001: 0}},
		"half way down":              {Range{From: 0.25, To: 0.5, Before: 0.25, After: 0.5}, false, map[float64]float64{0.125: 0.5, 0.75: 0.5, 0: 0, 1: 0}},
		"nothing is a number":        {Range{From: 0, To: 1, Before: 1, After: 1}, false, map[float64]float64{math.NaN(): 0, math.Inf(1): 0, math.Inf(-1): 0}},
		"over 0 degrees":             {Range{From: 350, To: 10, Before: 20, After: 40}, true, map[float64]float64{350: 1, 0: 1, 359.9: 1, 10: 1, 340: 0.5, 30: 0.5, 180: 0}},
		"over 0 in turns":            {Range{From: -10, To: 10, Before: 20, After: 40}, true, map[float64]float64{350: 1, 0: 1, 10: 1, 340: 0.5, 30: 0.5, 180: 0}},
		"ends in the next turn":      {Range{From: 350, To: 370}, true, map[float64]float64{350: 1, 5: 1, 10: 1, 11: 0, 349: 0}},
		"hard edges on the circle":   {Range{From: 10, To: 20}, true, map[float64]float64{10: 1, 20: 1, 370: 1, 9.999: 0, 20.001: 0}},
		"whole circle":               {Range{From: 0, To: 360}, true, map[float64]float64{0: 1, 123: 1, 359.999: 1}},
		"whole circle from 90":       {Range{From: 90, To: 450}, true, map[float64]float64{0: 1, 89.99: 1, 90: 1}},
		"more than a circle":         {Range{From: 10, To: 900}, true, map[float64]float64{0: 1, 9: 1}},
		"a single hue":               {Range{From: 30, To: 30, After: 60}, true, map[float64]float64{30: 1, 60: 0.5, 29.9: 0}},
		"the greater of two fades":   {Range{From: 0, To: 180, Before: 360, After: 90}, true, map[float64]float64{225: 0.68359375, 270: 0.84375}},
		"a hue that is not a number": {Range{From: 0, To: 360}, true, map[float64]float64{math.NaN(): 0}},
	} {
		for v, want := range c.want {
			got := c.r.Weight(v)
			if c.hue {
				got = c.r.HueWeight(colour.Degrees(v))
			}
			assert.InDelta(t, want, got, 1e-12, "%s: %+v at %v", name, c.r, v)
		}
	}
}

// In eighths of a degree all sums are exact, so the bits must be the same.
func TestTurningPictureAndRangeChangesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 20000 {
		r := randomRange(rng, 1, true)
		h, d := float64(rng.IntN(2880))/8, float64(rng.IntN(8*2000)-8000)/8
		turned := r
		turned.From += d
		turned.To += d
		require.Equal(t, r.HueWeight(colour.Degrees(h)), turned.HueWeight(colour.Degrees(h+d)), "%+v at %v turned by %v", r, h, d)
	}
}

func TestFadesFall(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	for range 300 {
		r := randomRange(rng, 1, false)
		before := 1.0
		for i := range 400 {
			v := r.To + 1.1*r.After*float64(i)/400
			w := r.Weight(v)
			require.LessOrEqual(t, w, before+1e-15, "%+v at %v", r, v)
			require.InDelta(t, r.Weight(v), Range{From: -r.To, To: -r.From, Before: r.After, After: r.Before}.Weight(-v), 1e-15, "the mirror image of %+v at %v", r, v)
			before = w
		}
	}
}

func TestLimits(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for range 2000 {
		for c := range Channels {
			l := Limit{Range: randomRange(rng, 1, c == Hue)}
			v := 360 * rng.Float64()
			w := l.Weight(c, v)
			l.Inverted = true
			require.Equal(t, 1-w, l.Weight(c, v))
			l.Off = true
			require.Equal(t, 1.0, l.Weight(c, v))
		}
	}
	whole := Limit{Range: Range{From: 0, To: 360}}
	assert.Equal(t, 0.0, whole.Weight(Hue, colour.NoHue), "no range of hues keeps a grey")
	whole.Inverted = true
	assert.Equal(t, 1.0, whole.Weight(Hue, colour.NoHue))
	whole.Off = true
	assert.Equal(t, 1.0, whole.Weight(Hue, colour.NoHue))
}

func TestPickIsTheProductOfItsLimits(t *testing.T) {
	p := Pick{Limits: [3]Limit{
		{Range: Range{From: 20, To: 40, After: 20}},
		{Range: Range{From: 0.5, To: 1, Before: 0.2}},
		{Range: Range{From: 0.2, To: 0.6, After: 0.4}, Inverted: true},
	}}
	assert.InDelta(t, 0.5*0.5*0.5, p.Weight(Point{50, 0.4, 0.8}), 1e-12)
	assert.Equal(t, 0.0, p.Weight(Point{colour.NoHue, 0.8, 0.8}))
}

func TestWhatIsNotFiniteCountsAsBlack(t *testing.T) {
	for m := HSL; m <= LCh; m++ {
		for _, odd := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			for _, c := range []colour.RGB{{R: odd}, {G: odd}, {B: odd}, {R: odd, G: odd, B: odd}} {
				require.Equal(t, Point{colour.NoHue, 0, 0}, m.At(c), "%v of %v", m, c)
			}
		}
	}
}

func TestModelNames(t *testing.T) {
	for m := range Models {
		got, err := ParseModel(m.String())
		require.NoError(t, err)
		assert.Equal(t, m, got)
	}
	_, err := ParseModel("rgb")
	assert.EqualError(t, err, `selection: model is "rgb", want hsl, lch or plane`)
}
