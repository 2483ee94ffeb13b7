package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

func TestIncludePoint(t *testing.T) {
	crossing := sandPick
	crossing.Limits[Hue].Range = Range{From: 350, To: 10}
	almost := sandPick
	almost.Limits[Hue].Range = Range{From: 10, To: 369.95}
	inverted := sandPick
	inverted.Limits[Light].Range = Range{From: 0.7, To: 0.9, Before: 0.05, After: 0.05}
	inverted.Limits[Light].Inverted = true
	for name, c := range map[string]struct {
		pick    Pick
		at      Point
		channel Channel
		want    Range
	}{
		"lightness above":         {sandPick, Point{40, 0.5, 0.73}, Light, Range{0.3, 0.731, 0.1, 0.1}},
		"between two values":      {sandPick, Point{40, 0.5, 0.7304}, Light, Range{0.3, 0.731, 0.1, 0.1}},
		"lightness below":         {sandPick, Point{40, 0.5, 0.11}, Light, Range{0.109, 0.66, 0.1, 0.1}},
		"hue above":               {sandPick, Point{110, 0.5, 0.5}, Hue, Range{20, 110.1, 6, 10}},
		"hue below, over 0":       {sandPick, Point{350.04, 0.5, 0.5}, Hue, Range{350, 58, 6, 10}},
		"crossing 0, above":       {crossing, Point{25, 0.5, 0.5}, Hue, Range{350, 25.1, 0, 0}},
		"crossing 0, below":       {crossing, Point{300, 0.5, 0.5}, Hue, Range{299.9, 10, 0, 0}},
		"the circle closes":       {almost, Point{9.97, 0.5, 0.5}, Hue, Range{0, 360, 0, 0}},
		"inverted, above":         {inverted, Point{40, 0.5, 0.85}, Light, Range{0.7, 0.799, 0.05, 0.05}},
		"inverted, below":         {inverted, Point{40, 0.5, 0.72}, Light, Range{0.771, 0.9, 0.05, 0.05}},
		"inverted, close to full": {inverted, Point{40, 0.5, 0.91}, Light, Range{0.7, 0.859, 0.05, 0.05}},
	} {
		got := IncludePoint(c.pick, c.at)
		want := c.pick
		want.Limits[c.channel].Range = c.want
		for k := range got.Limits {
			requireRange(t, want.Limits[k].Range, got.Limits[k].Range, name)
		}
		assert.Equal(t, In, got.Reason(c.at), name)
	}
}

func requireRange(t *testing.T, want, got Range, name string) {
	t.Helper()
	require.InDelta(t, want.From, got.From, 1e-9, "%s: %+v", name, got)
	require.InDelta(t, want.To, got.To, 1e-9, "%s: %+v", name, got)
	require.InDelta(t, want.Before, got.Before, 1e-9, "%s: %+v", name, got)
	require.InDelta(t, want.After, got.After, 1e-9, "%s: %+v", name, got)
}

func TestIncludeMovesOneBoundAlone(t *testing.T) {
	assert.Equal(t, sandPick, IncludePoint(sandPick, Point{40, 0.5, 0.5}), "in already")
	assert.Equal(t, sandPick, IncludePoint(sandPick, Point{colour.NoHue, 0.5, 0.5}), "a grey cannot be kept by hue")
	// Out by two channels: the named one moves, the other still rejects.
	at := Point{40, 1, 1}
	got := IncludePoint(sandPick, at)
	assert.Equal(t, 1.001, got.Limits[Sat].To)
	assert.Equal(t, sandPick.Limits[Light], got.Limits[Light])
	assert.Equal(t, "out: lightness 1.00 is above 0.66", got.Explain(at))
	assert.Equal(t, In, IncludePoint(got, at).Reason(at))
}

// randomPoint is a colour of the model, a grey in one of eight.
func randomPoint(rng *rand.Rand, m Model) Point {
	c := colour.RGB{R: rng.Float64(), G: rng.Float64(), B: rng.Float64()}
	if rng.IntN(8) == 0 {
		c.G, c.B = c.R, c.R
	}
	return m.At(c)
}

func TestIncludeLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 3))
	stuck := 0
	for i := range 20000 {
		p := randomPick(rng, Model(i%2))
		v := randomPoint(rng, p.Model)
		r := p.Reason(v)
		q := IncludePoint(p, v)
		if r == In || r == ByHue && v[Hue] == colour.NoHue {
			require.Equal(t, p, q)
			continue
		}
		moved := Channel(r - ByHue)
		if w := q.Limits[moved].Weight(moved, v[moved]); p.Limits[moved].Inverted {
			if q == p { // a fade reaches v from the other end
				stuck++
				continue
			}
			require.GreaterOrEqual(t, w, 0.5, "%+v at %v becomes %+v", p, v, q)
		} else {
			require.Equal(t, 1.0, w, "%+v at %v becomes %+v", p, v, q)
		}
		for c := range Channels {
			if c != moved {
				require.Equal(t, p.Limits[c], q.Limits[c])
			} else if !p.Limits[c].Inverted {
				requireOneBoundMoved(t, c, p.Limits[c], q.Limits[c])
			}
		}
		// What was in stays in.
		other := randomPoint(rng, p.Model)
		if !p.Limits[moved].Inverted {
			require.GreaterOrEqual(t, q.Weight(other), p.Weight(other)-1e-9, "%+v at %v becomes %+v, which weighs %v", p, v, q, other)
		}
	}
	require.Less(t, stuck, 500, "inverted limits that no single bound clears of the colour")
}

func requireOneBoundMoved(t *testing.T, c Channel, before, after Limit) {
	t.Helper()
	same := func(a, b float64) bool {
		if c == Hue {
			a = float64(colour.Degrees(a).ArcTo(colour.Degrees(b)))
			b = 0
		}
		return math.Abs(a-b) < 1e-9
	}
	from := same(before.From, after.From) && math.Abs(before.Before-after.Before) < 1e-9
	to := same(before.To, after.To) && math.Abs(before.After-after.After) < 1e-9
	require.True(t, from != to || after.Span() == 360, "%+v becomes %+v", before, after)
}

// dabOf has the colours of HSL points.
func dabOf(keep bool, points ...Point) Dab {
	d := Dab{Keep: keep}
	for _, p := range points {
		d.Colours = append(d.Colours, colour.HSL{H: colour.Degrees(p[Hue]), S: p[Sat], L: p[Light]}.RGB())
	}
	return d
}

func TestLeaveOutTakesTheBoundThatCostsLeast(t *testing.T) {
	at := Point{50, 0.6, 0.6}
	for name, c := range map[string]struct {
		kept    []Point
		channel Channel
		want    Range
	}{
		// In each case the kept colours stand beyond the point on two channels.
		"hue above":        {[]Point{{25, 0.65, 0.62}, {48, 0.65, 0.62}, {30, 0.5, 0.4}}, Hue, Range{20, 44.9, 6, 10}},
		"hue below":        {[]Point{{57, 0.65, 0.62}, {56, 0.3, 0.35}}, Hue, Range{53.1, 58, 6, 10}},
		"saturation above": {[]Point{{55, 0.3, 0.62}, {25, 0.35, 0.35}, {55, 0.25, 0.35}}, Sat, Range{0.1, 0.499, 0.1, 0.2}},
		"lightness above":  {[]Point{{55, 0.65, 0.4}, {25, 0.3, 0.45}, {55, 0.35, 0.42}}, Light, Range{0.3, 0.549, 0.1, 0.1}},
	} {
		drop := dabOf(false, Point{25, 0.2, 0.35}) // without effect
		got, err := LeaveOut(sandPick, at, []Dab{dabOf(true, c.kept...), drop})
		require.NoError(t, err, name)
		want := sandPick
		want.Limits[c.channel].Range = c.want
		for k := range got.Limits {
			requireRange(t, want.Limits[k].Range, got.Limits[k].Range, name)
		}
	}
}

func TestLeaveOutWithoutDabsMovesTheLeast(t *testing.T) {
	got, err := LeaveOut(sandPick, Point{40, 0.4, 0.65}, nil)
	require.NoError(t, err)
	requireRange(t, Range{0.3, 0.599, 0.1, 0.1}, got.Limits[Light].Range, "nearest the upper end of lightness")
	assert.Equal(t, sandPick.Limits[Hue], got.Limits[Hue])
}

func TestLeaveOutOnTheCircle(t *testing.T) {
	for name, c := range map[string]struct {
		hue   Range
		at    float64
		kept  float64
		want  Range
		still float64 // a hue that stays in
	}{
		"crossing 0, upper end":   {Range{350, 30, 4, 6}, 20, 355, Range{350, 376.9, 4, 6}, 5},
		"crossing 0, lower end":   {Range{350, 30, 4, 6}, 355, 20, Range{357.1, 390, 4, 6}, 25},
		"across 0 from the point": {Range{350, 30, 4, 6}, 10, 355, Range{350, 366.9, 4, 6}, 0},
		"whole, upper part":       {Range{0, 360, 0, 0}, 200, 100, Range{0, 199.9, 0, 0}, 50},
		"whole, lower part":       {Range{0, 360, 0, 0}, 200, 300, Range{200.1, 360, 0, 0}, 250},
		"whole in turns":          {Range{90, 900, 0, 0}, 200, 100, Range{90, 199.9, 0, 0}, 120},
		"on the lower fade":       {Range{350, 30, 10, 6}, 348, 20, Range{353.1, 390, 10, 6}, 25},
	} {
		p := Pick{Limits: [3]Limit{{Range: c.hue}, {Off: true}, {Off: true}}}
		got, err := LeaveOut(p, Point{c.at, 0.5, 0.5}, []Dab{dabOf(true, Point{c.kept, 0.5, 0.5})})
		require.NoError(t, err, name)
		requireRange(t, c.want, got.Limits[Hue].Range, name)
		assert.Equal(t, 1.0, got.Limits[Hue].Weight(Hue, c.still), name)
	}
}

func TestLeaveOutSaysWhatItCannot(t *testing.T) {
	out := Point{200, 0.5, 0.5}
	got, err := LeaveOut(sandPick, out, nil)
	require.NoError(t, err)
	assert.Equal(t, sandPick, got, "out already")

	off := sandPick
	for c := range off.Limits {
		off.Limits[c].Off = true
	}
	got, err = LeaveOut(off, Point{40, 0.5, 0.5}, nil)
	require.ErrorIs(t, err, ErrNoBound)
	assert.Equal(t, off, got)

	single := Pick{Limits: [3]Limit{{Range: Range{From: 40, To: 40}}, {Off: true}, {Off: true}}}
	_, err = LeaveOut(single, Point{40, 0.5, 0.5}, nil)
	require.ErrorIs(t, err, ErrNoBound, "a range of this colour alone")
}

func TestLeaveOutLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 3))
	moves := 0
	for i := range 4000 {
		p := randomPick(rng, Model(i%2))
		v := randomPoint(rng, p.Model)
		var dabs []Dab
		for range rng.IntN(3) {
			d := Dab{Keep: rng.IntN(3) > 0}
			for range 5 {
				d.Colours = append(d.Colours, colour.RGB{R: rng.Float64(), G: rng.Float64(), B: rng.Float64()})
			}
			dabs = append(dabs, d)
		}
		q, err := LeaveOut(p, v, dabs)
		switch {
		case p.Weight(v) < 0.5:
			require.NoError(t, err)
			require.Equal(t, p, q)
			continue
		case err != nil:
			require.Equal(t, p, q)
			continue
		}
		moves++
		require.Less(t, q.Weight(v), 0.5, "%+v at %v becomes %+v", p, v, q)
		changed := 0
		for c := range Channels {
			require.Equal(t, p.Limits[c].Off, q.Limits[c].Off)
			if p.Limits[c] != q.Limits[c] {
				changed++
				requireOneBoundMoved(t, c, p.Limits[c], q.Limits[c])
			}
		}
		require.Equal(t, 1, changed, "%+v at %v becomes %+v", p, v, q)
		other := randomPoint(rng, p.Model)
		require.LessOrEqual(t, q.Weight(other), p.Weight(other)+1e-9, "%+v at %v becomes %+v, which weighs %v", p, v, q, other)
	}
	require.Greater(t, moves, 500)
}
