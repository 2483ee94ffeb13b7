package selection

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// A patch is a made material: the hue, chroma and lightness of LCh, or the
// coordinates of HSL, with a spread within a dab and one between dabs.
type patch struct {
	model   Model
	at      Point
	within  Point
	between Point
}

// dab draws n pixels of one place.
func (p patch) dab(rng *rand.Rand, keep bool, n int) Dab {
	d := Dab{Keep: keep, Colours: make([]colour.RGB, n)}
	centre := p.at
	for c := range centre {
		centre[c] += p.between[c] * rng.NormFloat64()
	}
	for i := range d.Colours {
		v := centre
		for c := range v {
			v[c] += p.within[c] * rng.NormFloat64()
		}
		d.Colours[i] = p.model.rgb(v)
	}
	return d
}

// rgb is the inverse of At.
func (m Model) rgb(v Point) colour.RGB {
	if m == LCh {
		return colour.LCh{H: colour.Degrees(v[Hue]), C: v[Sat], L: v[Light]}.Lab().RGB()
	}
	return colour.HSL{H: colour.Degrees(v[Hue]), S: v[Sat], L: v[Light]}.RGB()
}

func dabsOf(rng *rand.Rand, keep, drop patch, each, pixels int) (dabs []Dab) {
	for range each {
		dabs = append(dabs, keep.dab(rng, true, pixels), drop.dab(rng, false, pixels))
	}
	return dabs
}

var (
	sand     = patch{LCh, Point{80, 25, 70}, Point{4, 2, 2}, Point{3, 2, 3}}
	seagrass = patch{LCh, Point{140, 30, 40}, Point{6, 3, 2}, Point{4, 2, 3}}
)

func TestSeparationOfUnlikeMaterials(t *testing.T) {
	dabs := dabsOf(rand.New(rand.NewPCG(1, 6)), sand, seagrass, 4, 200)
	for m := HSL; m <= LCh; m++ {
		fitted, err := Fit(dabs, m)
		require.NoError(t, err)
		s, err := MeasureSeparation(dabs, fitted.Pick)
		require.NoError(t, err)
		requireEstimates(t, s)
		assert.Equal(t, m, s.Model)
		assert.Equal(t, [2]int{4, 4}, [2]int{s.Keep, s.Drop})
		assert.True(t, s.Enough())
		assert.InDelta(t, 1, s.Pick.Could.Value, 0.005)
		assert.InDelta(t, 1, s.Pick.Set.Value, 0.005)
		assert.InDelta(t, 1, s.Plane.Could.Value, 0.005)
		assert.Contains(t, s.Sentence(), "Colour alone does it.")
	}
}

// Dabs of one material, half of them called keep: no better than chance.
func TestSeparationOfOneMaterial(t *testing.T) {
	dabs := dabsOf(rand.New(rand.NewPCG(2, 6)), seagrass, seagrass, 12, 100)
	fitted, err := FitAuto(dabs)
	require.NoError(t, err)
	s, err := MeasureSeparation(dabs, fitted.Pick)
	require.NoError(t, err)
	requireEstimates(t, s)
	assert.InDelta(t, 0.5, s.Pick.Could.Value, 0.15)
	assert.InDelta(t, 0.5, s.Plane.Could.Value, 0.2)
	for c := range s.Channels {
		assert.InDelta(t, 0.5, s.Channels[c].Could.Value, 0.2)
	}
	assert.Less(t, s.Pick.Could.Low, 0.5)

	// To the pixel: exactly one half.
	one := dabOf(true, Point{40, 0.5, 0.5})
	other := one
	other.Keep = false
	s, err = MeasureSeparation([]Dab{one, one, other, other}, sandPick)
	require.NoError(t, err)
	assert.Equal(t, 0.5, s.Pick.Could.Value)
	assert.Equal(t, 0.5, s.Pick.Set.Value)
	assert.Equal(t, 0.5, s.Plane.Could.Value)
}

// Each channel is measured alone: materials that differ in one are told apart by it
// and no other.
func TestSeparationByChannel(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 6))
	for c, differ := range []Point{Hue: {50, 0, 0}, Sat: {0, 25, 0}, Light: {0, 0, 25}} {
		keep := patch{LCh, Point{60, 20, 50}, Point{2, 2, 2}, Point{1, 1, 1}}
		drop := keep
		for k := range drop.at {
			drop.at[k] += differ[k]
		}
		dabs := dabsOf(rng, keep, drop, 5, 100)
		fitted, err := Fit(dabs, LCh)
		require.NoError(t, err)
		s, err := MeasureSeparation(dabs, fitted.Pick)
		require.NoError(t, err)
		for k, separability := range s.Channels {
			if k == c {
				assert.Greater(t, separability.Could.Value, 0.98, "channel %d of materials that differ in %d", k, c)
				assert.Greater(t, separability.Set.Value, 0.98)
			} else {
				assert.InDelta(t, 0.5, separability.Could.Value, 0.25, "channel %d of materials that differ in %d", k, c)
			}
		}
	}
}

func TestSeparationOfAPickSetWrong(t *testing.T) {
	dabs := dabsOf(rand.New(rand.NewPCG(4, 6)), sand, seagrass, 3, 100)
	fitted, err := Fit(dabs, LCh)
	require.NoError(t, err)
	wrong := fitted.Pick
	for c := range wrong.Limits {
		wrong.Limits[c].Off = true
	}
	s, err := MeasureSeparation(dabs, wrong)
	require.NoError(t, err)
	assert.Equal(t, 0.5, s.Pick.Set.Value, "all channels off: every pixel weighs the same")
	assert.Greater(t, s.Pick.Could.Value, 0.99, "what could be does not depend on what is set")
	assert.Contains(t, s.Sentence(), "fit them to the dabs again")

	all := fitted.Pick
	hue := fitted.Pick
	hue.Limits[Sat].Off, hue.Limits[Light].Off = true, true
	a, err := MeasureSeparation(dabs, all)
	require.NoError(t, err)
	b, err := MeasureSeparation(dabs, hue)
	require.NoError(t, err)
	assert.Equal(t, a.Channels[Hue].Set, b.Pick.Set, "hue alone is the pick with the others off")
	assert.Equal(t, 0.5, b.Channels[Sat].Set.Value, "a channel that is off tells nothing apart")
}

// A dab is weighed by the pick of its own frame.
func TestSeparationOfEachDabByItsPick(t *testing.T) {
	a, b := Dab{Keep: true, Colours: []colour.RGB{{R: 0.8, G: 0.3, B: 0.2}, {R: 0.7, G: 0.3, B: 0.2}}}, Dab{Keep: true, Colours: []colour.RGB{{R: 0.2, G: 0.3, B: 0.8}}}
	drop := Dab{Colours: []colour.RGB{{R: 0.3, G: 0.8, B: 0.3}}}
	over := func(from, to float64) Pick {
		p := Pick{Model: HSL}
		p.Limits[Hue] = Limit{Range: Range{From: from, To: to}}
		p.Limits[Sat].Off, p.Limits[Light].Off = true, true
		return p
	}
	red, blue := over(340, 380), over(200, 260)
	dabs := []Dab{b, drop, a}
	each, err := MeasureSeparationEach(dabs, []Pick{blue, red, red})
	require.NoError(t, err)
	assert.Equal(t, 1.0, each.Pick.Set.Value)
	assert.Equal(t, 1.0, each.Channels[Hue].Set.Value)
	one, err := MeasureSeparation(dabs, red)
	require.NoError(t, err)
	assert.Equal(t, 0.75, one.Pick.Set.Value, "the blue dab ties with what is dropped")
	same, err := MeasureSeparationEach(dabs, []Pick{red, red, red})
	require.NoError(t, err)
	assert.Equal(t, one, same)
	_, err = MeasureSeparationEach(nil, nil)
	assert.ErrorContains(t, err, "found 0 keep and 0 drop dabs")
	assert.Panics(t, func() { _, _ = MeasureSeparationEach(dabs, nil) })
}

func TestSeparationNeedsBothKinds(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	keep, drop := sand.dab(rng, true, 9), seagrass.dab(rng, false, 9)
	_, err := MeasureSeparation([]Dab{keep, keep, {Keep: false}}, sandPick)
	require.EqualError(t, err, "selection: found 2 keep and 0 drop dabs, want one of each to tell them apart")
	_, err = MeasureSeparation([]Dab{drop}, sandPick)
	require.EqualError(t, err, "selection: found 0 keep and 1 drop dabs, want one of each to tell them apart")

	for _, dabs := range [][]Dab{{keep, drop}, {keep, keep, drop}, {keep, drop, drop}} {
		s, err := MeasureSeparation(dabs, sandPick)
		require.NoError(t, err)
		requireEstimates(t, s)
		assert.False(t, s.Enough())
		assert.Zero(t, s.Pick.Could)
		assert.Zero(t, s.Plane.Could)
		assert.NotZero(t, s.Plane.Set)
		assert.Contains(t, s.Sentence(), "set at least two of each kind")
	}
}

func TestSeparationIsThatOfAnyOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	dabs := dabsOf(rng, sand, seagrass, 3, 60)
	fitted, err := Fit(dabs, LCh)
	require.NoError(t, err)
	want, err := MeasureSeparation(dabs, fitted.Pick)
	require.NoError(t, err)
	rng.Shuffle(len(dabs), func(i, j int) { dabs[i], dabs[j] = dabs[j], dabs[i] })
	got, err := MeasureSeparation(dabs, fitted.Pick)
	require.NoError(t, err)
	assert.Equal(t, want, got)
}

// A slanted plane separates what ranges along the axes of hue, chroma and lightness
// cannot: two long clouds side by side.
func TestPlaneIsTheCeiling(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 6))
	cloud := func(keep bool, offset float64) Dab {
		d := Dab{Keep: keep}
		for range 300 {
			along := 18 * rng.NormFloat64()
			d.Colours = append(d.Colours, colour.Lab{L: 50 + along + offset, A: 20, B: 20 + along - offset}.RGB())
		}
		return d
	}
	var dabs []Dab
	for range 3 {
		dabs = append(dabs, cloud(true, 4), cloud(false, -4))
	}
	fitted, err := Fit(dabs, LCh)
	require.NoError(t, err)
	s, err := MeasureSeparation(dabs, fitted.Pick)
	require.NoError(t, err)
	assert.Greater(t, s.Plane.Could.Value, 0.98)
	assert.Less(t, s.Pick.Could.Value, s.Plane.Could.Value-0.1)
	assert.Contains(t, s.Sentence(), "slanted plane")
}

func TestSentence(t *testing.T) {
	of := func(set, could, plane float64) Separation {
		return Separation{Keep: 3, Drop: 2, Pick: Separability{Set: Estimate{Value: set}, Could: Estimate{Value: could}}, Plane: Separability{Could: Estimate{Value: plane}}}
	}
	many := func(s Separation) Separation {
		s.Keep, s.Drop = 6, 7
		return s
	}
	byPlane := func(s Separation) Separation {
		s.Model = PlaneModel
		return s
	}
	for name, c := range map[string]struct {
		s    Separation
		want string
	}{
		"too few":          {Separation{Keep: 3, Drop: 1}, "Found 3 keep dabs and 1 drop dab: set at least two of each kind to learn how far colour alone tells them apart."},
		"none":             {Separation{}, "Found 0 keep dabs and 0 drop dabs: set at least two of each kind to learn how far colour alone tells them apart."},
		"all":              {of(0.99, 0.99, 0.99), "Colour alone does it. Of 100 pairs of a kept and a dropped pixel, it tells 99 apart."},
		"just all":         {of(0.99, 0.98, 0.99), "Colour alone does it. Of 100 pairs of a kept and a dropped pixel, it tells 98 apart."},
		"most":             {of(0.95, 0.95, 0.96), "Colour nearly does it; a mask must take the rest. Of 100 pairs of a kept and a dropped pixel, it tells 95 apart."},
		"not":              {of(0.8, 0.75, 0.78), "Colour alone cannot do it: draw a keep mask. Of 100 pairs of a kept and a dropped pixel, it tells 75 apart."},
		"set badly":        {of(0.7, 0.99, 0.99), "The ranges as they are set tell 70 of 100 pairs apart, fitted ones could tell 99: fit them to the dabs again."},
		"not set so badly": {of(0.94, 0.98, 0.99), "Colour alone does it. Of 100 pairs of a kept and a dropped pixel, it tells 98 apart."},
		"slanted, few":     {of(0.8, 0.8, 0.97), "Three ranges tell 80 of 100 pairs apart, a slanted plane could tell 97: try the other model, or two mattes. A mask must take the rest."},
		"offered":          {many(of(0.8, 0.8, 0.97)), "A plane tells 97 of 100 apart, the ranges 80. Try the model plane. A mask must take the rest."},
		"offered for all":  {many(of(0.8, 0.8, 0.99)), "A plane tells 99 of 100 apart, the ranges 80. Try the model plane."},
		"offered anyhow":   {many(of(0.6, 0.6, 0.8)), "A plane tells 80 of 100 apart, the ranges 60. Try the model plane. A mask must take the rest."},
		"not better":       {many(of(0.8, 0.8, 0.85)), "Colour alone cannot do it: draw a keep mask. Of 100 pairs of a kept and a dropped pixel, it tells 80 apart."},
		"by plane already": {byPlane(many(of(0.92, 0.92, 0.99))), "Colour nearly does it; a mask must take the rest. Of 100 pairs of a kept and a dropped pixel, it tells 92 apart."},
		"plane set badly":  {byPlane(of(0.7, 0.9, 0.9)), "The plane as it is set tells 70 of 100 pairs apart, a fitted one could tell 90: fit it to the dabs again."},
		"slanted, no help": {of(0.6, 0.6, 0.8), "Colour alone cannot do it: draw a keep mask. Of 100 pairs of a kept and a dropped pixel, it tells 60 apart."},
	} {
		assert.Equal(t, c.want, c.s.Sentence(), name)
		assert.False(t, strings.Contains(c.s.Sentence(), "%!"), name)
	}
}
