package selection

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// border returns where the limit's weight is one half, at its lower or upper end.
func border(r Range, upper bool) float64 {
	if upper {
		return r.To + r.After/2
	}
	return r.From - r.Before/2
}

func TestFitDoesNotDependOnOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 7))
	rounds := 12
	if testing.Short() { // as with the race detector
		rounds = 2
	}
	for round := range rounds {
		var dabs []Dab
		for i := range 2 + rng.IntN(5) {
			p := patch{HSL, Point{360 * rng.Float64(), rng.Float64(), rng.Float64()}, Point{10, 0.1, 0.1}, Point{}}
			dabs = append(dabs, p.dab(rng, i == 0 || rng.IntN(2) == 0, 1+rng.IntN(80)))
		}
		want, err := FitAuto(dabs)
		require.NoError(t, err)
		again, err := FitAuto(dabs)
		require.NoError(t, err)
		requireSame(t, want, again, "round %d, the same dabs", round)
		for range 3 {
			rng.Shuffle(len(dabs), func(i, j int) { dabs[i], dabs[j] = dabs[j], dabs[i] })
			for _, d := range dabs {
				rng.Shuffle(len(d.Colours), func(i, j int) { d.Colours[i], d.Colours[j] = d.Colours[j], d.Colours[i] })
			}
			got, err := FitAuto(dabs)
			require.NoError(t, err)
			requireSame(t, want, got, "round %d, shuffled", round)
		}
	}
}

// requireSame compares fits to the bit; NaN is equal to itself.
func requireSame(t *testing.T, want, got Fitted, message string, args ...any) {
	t.Helper()
	for m := range want.LeftOut {
		if math.IsNaN(want.LeftOut[m]) && math.IsNaN(got.LeftOut[m]) {
			want.LeftOut[m], got.LeftOut[m] = 0, 0
		}
	}
	require.Equal(t, want, got, append([]any{message}, args...)...)
}

// Each dab counts as much as the next, however many pixels it has.
func TestFitCountsDabsNotPixels(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 7))
	dabs := dabsOf(rng, sand, seagrass, 3, 50)
	want, err := Fit(dabs, LCh)
	require.NoError(t, err)
	for i := range dabs {
		if i%2 == 0 {
			dabs[i].Colours = slices.Repeat(dabs[i].Colours, 7)
		}
	}
	got, err := Fit(dabs, LCh)
	require.NoError(t, err)
	assert.Equal(t, want.Pick, got.Pick)
}

// Two Gaussians of one deviation, one to keep and one to drop, cross half way
// between their means: no border does better (Duda, Hart & Stork 2001, Pattern
// Classification, sec. 2.6.1, citation from memory).
func TestFitPutsBordersWhereGaussiansCross(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	for m := HSL; m <= LCh; m++ {
		for c := range Channels {
			lo, hi := span(m, c)
			for _, sign := range []float64{1, -1} {
				centre := Point{200, 0.4 * spanOf(m, Sat), 0.5 * spanOf(m, Light)}
				if m == LCh {
					centre[Sat] = 25
				}
				sigma := 0.02 * (hi - lo)
				keep := patch{model: m, at: centre}
				drop := keep
				keep.at[c] -= sign * 1.5 * sigma
				drop.at[c] += sign * 1.5 * sigma
				for _, p := range []*patch{&keep, &drop} {
					p.within[c], p.between[c] = sigma, 0
				}
				f, err := Fit(dabsOf(rng, keep, drop, 3, 3000), m)
				require.NoError(t, err)
				l := f.Pick.Limits[c]
				require.False(t, l.Off, "%s of %v", c.Name(m), m)
				got := border(l.Range, sign > 0)
				if c == Hue {
					got = float64(colour.Degrees(got).Norm())
				}
				assert.InDelta(t, centre[c], got, 0.005*(hi-lo), "%s of %v, keep below: %v", c.Name(m), m, sign > 0)
			}
		}
	}
}

func spanOf(m Model, c Channel) float64 {
	lo, hi := span(m, c)
	return hi - lo
}

// With 5 % of the pixels of every dab from the other material, borders move by
// at most 2 degrees or 0.02 of the channel's span.
func TestFitBearsWrongPixels(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 7))
	for c := range Channels {
		for m := HSL; m <= LCh; m++ {
			span := spanOf(m, c)
			keep := patch{model: m, at: Point{200, 0.4, 0.5}}
			if m == LCh {
				keep.at = Point{200, 25, 50}
			}
			keep.within[c], keep.between[c] = 0.01*span, 0.01*span
			drop := keep
			drop.at[c] += 0.12 * span
			clean := dabsOf(rng, keep, drop, 4, 1000)
			wrong := make([]Dab, len(clean))
			for i, d := range clean {
				other := clean[i^1] // dabs of the two kinds alternate
				wrong[i] = Dab{Keep: d.Keep, Colours: slices.Concat(d.Colours[:950], other.Colours[950:])}
			}
			want, err := Fit(clean, m)
			require.NoError(t, err)
			got, err := Fit(wrong, m)
			require.NoError(t, err)
			tolerance := 0.02 * span
			if c == Hue {
				tolerance = 2
			}
			require.False(t, got.Pick.Limits[c].Off)
			a, b := border(want.Pick.Limits[c].Range, true), border(got.Pick.Limits[c].Range, true)
			assert.InDelta(t, a, b, tolerance, "%s of %v", c.Name(m), m)
		}
	}
}

func TestFitSwitchesOffWhatDoesNotHelp(t *testing.T) {
	keep := dabOf(true, Point{30, 0.5, 0.5}, Point{34, 0.5, 0.5}, Point{32, 0.5, 0.5})
	drop := dabOf(false, Point{120, 0.5, 0.5}, Point{124, 0.5, 0.5}, Point{122, 0.5, 0.5})
	f, err := Fit([]Dab{keep, drop}, HSL)
	require.NoError(t, err)
	assert.False(t, f.Pick.Limits[Hue].Off)
	assert.True(t, f.Pick.Limits[Sat].Off)
	assert.True(t, f.Pick.Limits[Light].Off)
	assert.Equal(t, []string{
		"saturation is off: it does not help to tell these samples apart",
		"lightness is off: it does not help to tell these samples apart",
	}, f.Notes)
	assert.Equal(t, Range{From: 0, To: 1}, f.Pick.Limits[Sat].Range, "a channel that is off keeps all, should it be switched on")
	// One dab of each kind: the border stands half way, two bandwidths from both,
	// and a Gaussian has 0.977 of itself on one side of that.
	assert.InDelta(t, normal(2), f.Agreement, 0.005)

	same := keep
	same.Keep = false
	f, err = Fit([]Dab{keep, same}, LCh)
	require.NoError(t, err)
	for c := range Channels {
		assert.True(t, f.Pick.Limits[c].Off)
	}
	assert.Contains(t, f.Notes, "no channel tells these samples apart: keep and drop dabs have the same colours")
	assert.InDelta(t, 0.5, f.Agreement, 1e-9)
}

func TestFitAcrossZeroDegrees(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	for m := HSL; m <= LCh; m++ {
		keep := patch{m, Point{2, 0.6, 0.5}, Point{6, 0.02, 0.02}, Point{3, 0, 0}}
		if m == LCh {
			keep.at, keep.within = Point{2, 40, 50}, Point{6, 1, 1}
		}
		right, left := keep, keep
		right.at[Hue], left.at[Hue] = 62, 302
		dabs := dabsOf(rng, keep, right, 3, 400)
		dabs = append(dabs, left.dab(rng, false, 400), left.dab(rng, false, 400), left.dab(rng, false, 400))
		f, err := Fit(dabs, m)
		require.NoError(t, err)
		l := f.Pick.Limits[Hue]
		require.False(t, l.Off)
		for _, h := range []float64{345, 352, 0, 2, 10, 18} {
			assert.Greater(t, l.Weight(Hue, h), 0.9, "%v at %v", l, h)
		}
		for _, h := range []float64{50, 62, 310, 302} {
			assert.Less(t, l.Weight(Hue, h), 0.1, "%v at %v", l, h)
		}
	}
}

func TestFitOfOddDabs(t *testing.T) {
	grey := dabOf(true, Point{0, 0, 0.5}, Point{0, 0, 0.52})
	darker := dabOf(false, Point{0, 0, 0.2}, Point{0, 0, 0.22})
	red := dabOf(false, Point{0, 0.8, 0.5})
	black, nearBlack := dabOf(true, Point{0, 0, 0}), dabOf(false, Point{0, 0, 1. / 255})
	white, nearWhite := dabOf(true, Point{0, 0, 1}), dabOf(false, Point{0, 0, 254. / 255})
	for name, c := range map[string]struct {
		dabs  []Dab
		parts bool
	}{
		"greys":                         {[]Dab{grey, darker}, true},
		"a grey from a red":             {[]Dab{grey, red}, true},
		"one pixel each":                {[]Dab{dabOf(true, Point{40, 0.5, 0.5}), dabOf(false, Point{200, 0.5, 0.5})}, true},
		"one pixel each, a code apart":  {[]Dab{black, nearBlack}, true},
		"the same at the other end":     {[]Dab{white, nearWhite}, true},
		"all the same colour":           {[]Dab{grey, {Colours: grey.Colours}}, false},
		"the same colour, three to two": {[]Dab{grey, grey, grey, {Colours: grey.Colours}, {Colours: grey.Colours}}, false},
		"empty dabs beside":             {[]Dab{{Keep: true}, grey, {}, darker, {}}, true},
	} {
		for m := HSL; m <= LCh; m++ {
			f, err := Fit(c.dabs, m)
			require.NoError(t, err, name)
			requireLawful(t, f)
			var weight [2]float64
			for _, d := range c.dabs {
				for _, rgb := range d.Colours {
					w := f.Pick.Weight(m.At(rgb))
					if d.Keep {
						weight[1] += w / float64(len(d.Colours))
					} else {
						weight[0] += w / float64(len(d.Colours))
					}
				}
			}
			if c.parts {
				assert.Greater(t, weight[1], 0.5, "%s in %v: %+v", name, m, f)
				assert.Less(t, weight[0], 0.5, "%s in %v: %+v", name, m, f)
			}
		}
	}
	// A grey is told from a red by its saturation: no hue range keeps a grey.
	f, err := Fit([]Dab{grey, red}, HSL)
	require.NoError(t, err)
	assert.True(t, f.Pick.Limits[Hue].Off)
}

// Materials at the ends of a channel, with wide fades: the ends stay in order.
func TestFitKeepsEndsInOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 7))
	rounds := 60
	if testing.Short() { // as with the race detector
		rounds = 5
	}
	for range rounds {
		var dabs []Dab
		for i := range 4 + rng.IntN(4) {
			end := float64(rng.IntN(2))
			v := end + (1-2*end)*0.04*rng.Float64()
			d := Dab{Keep: i%2 == 0}
			for range 1 + rng.IntN(6) {
				noise := func() float64 { return 0.004 * rng.NormFloat64() }
				d.Colours = append(d.Colours, colour.RGB{R: v + noise(), G: v + noise(), B: v + noise()})
			}
			dabs = append(dabs, d)
		}
		for m := HSL; m <= LCh; m++ {
			f, err := Fit(dabs, m)
			require.NoError(t, err)
			requireLawful(t, f)
		}
	}
}

func TestFadesMeetTheEndsOfAChannel(t *testing.T) {
	b := box{lo: [3]int{Light: -20}, hi: [3]int{Light: 3}, bandwidth: [3]float64{Light: 8}}
	r := b.settle(HSL, Light)
	assert.Equal(t, 0.0, r.From)
	assert.Equal(t, 0.0, r.To, "the fade would begin below 0")
	assert.InDelta(t, 3./bins, border(r, true), 0.0005, "the border stays where it is")

	b = box{lo: [3]int{Light: bins - 3}, hi: [3]int{Light: bins + 20}, bandwidth: [3]float64{Light: 8}}
	r = b.settle(HSL, Light)
	assert.Equal(t, 1.0, r.To)
	assert.Equal(t, 1.0, r.From)
	assert.InDelta(t, 1-3./bins, border(r, false), 0.0005)

	b = box{lo: [3]int{Light: -20}, hi: [3]int{Light: -5}, bandwidth: [3]float64{Light: 2}}
	assert.Equal(t, Range{Before: 0.004}, b.settle(HSL, Light), "a border below all values")
}

func TestFitNeedsAKeepDab(t *testing.T) {
	drop := dabOf(false, Point{40, 0.5, 0.5})
	unusable := Dab{Keep: true, Colours: []colour.RGB{{R: math.NaN()}, {G: math.Inf(1)}}}
	for _, dabs := range [][]Dab{nil, {drop}, {{Keep: true}, drop}, {unusable, drop}} {
		_, err := Fit(dabs, HSL)
		require.ErrorIs(t, err, ErrNoKeep)
		_, err = FitAuto(dabs)
		require.ErrorIs(t, err, ErrNoKeep)
	}
}

// Wild pixels that are not numbers are as if they were not there.
func TestFitLeavesOutWhatIsNotANumber(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	dabs := dabsOf(rng, sand, seagrass, 2, 40)
	want, err := FitAuto(dabs)
	require.NoError(t, err)
	for i := range dabs {
		dabs[i].Colours = append(dabs[i].Colours, colour.RGB{R: math.NaN(), G: 0.5, B: 0.5}, colour.RGB{B: math.Inf(-1)})
	}
	got, err := FitAuto(dabs)
	require.NoError(t, err)
	requireSame(t, want, got, "with NaN and Inf")
}

func TestKeepAloneKeepsItsShare(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 7))
	for m := HSL; m <= LCh; m++ {
		p := patch{m, Point{355, 0.5, 0.5}, Point{8, 0.05, 0.05}, Point{}}
		if m == LCh {
			p.at, p.within = Point{355, 40, 50}, Point{8, 3, 4}
		}
		f, err := Fit([]Dab{p.dab(rng, true, 5000)}, m)
		require.NoError(t, err)
		requireLawful(t, f)
		for c := range Channels {
			l := f.Pick.Limits[c]
			require.False(t, l.Off)
			kept := 0.0
			for range 20000 {
				v := p.at[c] + p.within[c]*rng.NormFloat64()
				if l.Weight(c, v) == 1 {
					kept++
				}
			}
			assert.InDelta(t, aloneShare, kept/20000, 0.02, "%s of %v: %+v", c.Name(m), m, l)
			// 96 % of a Gaussian lies within 2.054 deviations of its mean.
			assert.InDelta(t, 2*2.054*p.within[c], l.To-l.From, 0.5*p.within[c], "%s of %v: %+v", c.Name(m), m, l)
		}
		require.Len(t, f.Notes, 1)
		assert.Contains(t, f.Notes[0], "each range keeps 96 % of the keep samples")
		assert.Contains(t, f.Notes[0], "add drop dabs")
		assert.Greater(t, f.Agreement, 0.85)
		for _, v := range f.LeftOut {
			assert.True(t, math.IsNaN(v))
		}
	}
}

func TestKeepAloneOfGreys(t *testing.T) {
	f, err := Fit([]Dab{dabOf(true, Point{0, 0, 0.4}, Point{0, 0, 0.5}, Point{0, 0, 0.6})}, LCh)
	require.NoError(t, err)
	assert.True(t, f.Pick.Limits[Hue].Off)
	assert.Equal(t, "hue is off: the samples have none", f.Notes[0])
	for _, l := range []float64{0.4, 0.5, 0.6} {
		assert.Greater(t, f.Pick.Weight(LCh.At(colour.RGB{R: l, G: l, B: l})), 0.99)
	}
	// All hues at once.
	var wheel []Point
	for h := range 360 {
		wheel = append(wheel, Point{float64(h), 0.5, 0.5})
	}
	f, err = Fit([]Dab{dabOf(true, wheel...)}, HSL)
	require.NoError(t, err)
	assert.Greater(t, f.Pick.Limits[Hue].Span(), 344.0)
	requireLawful(t, f)
	// A single pixel.
	f, err = Fit([]Dab{dabOf(true, Point{40, 0.5, 0.5})}, HSL)
	require.NoError(t, err)
	assert.Equal(t, 1.0, f.Pick.Weight(Point{40, 0.5, 0.5}))
	assert.Less(t, f.Pick.Limits[Hue].Span(), 3.0)
}

func TestShortestArcTriesEveryArc(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 7))
	for range 500 {
		hist := make([]float64, 30+rng.IntN(20))
		total := 0.0
		for range 25 {
			n := float64(1 + rng.IntN(9))
			hist[rng.IntN(len(hist))] += n
			total += n
		}
		want := total * rng.Float64()
		least := math.MaxInt
		for lo := range hist {
			for hi := lo; hi <= lo+len(hist); hi++ {
				if gathered(hist, lo, hi) >= want {
					least = min(least, hi-lo)
				}
			}
		}
		lo, hi := shortestArc(hist, want)
		require.Equal(t, least, hi-lo, "%v of %v", want, hist)
		require.GreaterOrEqual(t, gathered(hist, lo, hi), want-tie)
	}
}

func TestFitAutoTakesTheModelThatTellsApart(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 7))
	even, err := FitAuto(dabsOf(rng, sand, seagrass, 3, 100))
	require.NoError(t, err)
	assert.Equal(t, LCh, even.Pick.Model, "both tell all apart: LCh has the benefit of the doubt")
	assert.True(t, strings.HasPrefix(even.Notes[0], "LCh: of dabs left out it tells "), even.Notes[0])
	for m, v := range even.LeftOut {
		if Model(m) == PlaneModel {
			assert.True(t, math.IsNaN(v), "auto does not try the plane")
			continue
		}
		assert.Greater(t, v, 0.95)
	}

	// Materials of one HSL hue and another, of every saturation and lightness:
	// their LCh hues mix, for blue turns purple on the way to white.
	hsl := func(hue float64, keep bool) Dab {
		d := Dab{Keep: keep}
		for range 300 {
			d.Colours = append(d.Colours, colour.HSL{H: colour.Degrees(hue + rng.NormFloat64()), S: 0.3 + 0.7*rng.Float64(), L: 0.2 + 0.7*rng.Float64()}.RGB())
		}
		return d
	}
	var dabs []Dab
	for range 3 {
		dabs = append(dabs, hsl(246, true), hsl(234, false))
	}
	f, err := FitAuto(dabs)
	require.NoError(t, err)
	assert.Equal(t, HSL, f.Pick.Model)
	assert.True(t, strings.HasPrefix(f.Notes[0], "HSL: of dabs left out it tells more apart ("), f.Notes[0])
	assert.Greater(t, f.LeftOut[HSL], f.LeftOut[LCh]+evenModels)

	few, err := FitAuto(dabs[:2])
	require.NoError(t, err)
	assert.Equal(t, LCh, few.Pick.Model)
	assert.Equal(t, "LCh: too few dabs of a kind to leave one out and compare", few.Notes[0])
}

// slowCells gathers a dab in a map.
func slowCells(d Dab, m Model) []cell {
	counts := map[[3]int16]float64{}
	for _, c := range d.Colours {
		counts[binsOf(m, m.At(c))]++
	}
	var cells []cell
	for bin, n := range counts {
		cells = append(cells, cell{bin: bin, count: n})
	}
	slices.SortFunc(cells, compareCells)
	return cells
}

func TestCellsCountPixels(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 7))
	d := sand.dab(rng, true, 500)
	for range 300 { // and some twice, and greys
		d.Colours = append(d.Colours, d.Colours[rng.IntN(500)], colour.RGB{R: 0.5, G: 0.5, B: 0.5})
	}
	for m := HSL; m <= LCh; m++ {
		cells := dabCells(d, m)
		require.Equal(t, slowCells(d, m), cells)
		for _, k := range cells {
			require.Equal(t, k.bin, unpacked(packed(k.bin)))
		}
	}
	for _, b := range [][3]int16{{-1, 0, 0}, {-1, 1023, 1023}, {0, 0, 0}, {1023, 1023, 1023}, {5, 0, 1023}} {
		require.Equal(t, b, unpacked(packed(b)))
	}
}

func TestMiddlesAreMedians(t *testing.T) {
	cells := dabCells(dabOf(true, Point{350, 0.2, 0.3}, Point{355, 0.3, 0.4}, Point{5, 0.4, 0.5}, Point{10, 0.5, 0.6}, Point{8, 0.9, 0.9}), HSL)
	mid := middles(cells, HSL)
	assert.InDelta(t, 5, mid[Hue], 0.4, "the median across 0 degrees")
	assert.InDelta(t, 0.4, mid[Sat], 0.001)
	assert.InDelta(t, 0.5, mid[Light], 0.001)
	grey := middles(dabCells(dabOf(true, Point{0, 0, 0.5}), HSL), HSL)
	assert.True(t, math.IsNaN(grey[Hue]))
}
