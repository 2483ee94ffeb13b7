package selection

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"halocline/colour"
)

// slantedDabs are dabs of two things that lie alike in hue, chroma and lightness by
// themselves, and apart along a direction between L* and a*: long clouds side by side.
func slantedDabs(rng *rand.Rand, each, pixels int, gap float64) (dabs []Dab) {
	for i := range 2 * each {
		d := Dab{Keep: i%2 == 0}
		side := -gap
		if d.Keep {
			side = gap
		}
		middle := 14 * rng.NormFloat64()
		for range pixels {
			along, off := middle+4*rng.NormFloat64(), side+1.5*rng.NormFloat64()
			d.Colours = append(d.Colours, colour.Lab{L: 50 + along + off, A: 5 + along - off, B: 12 + 2*rng.NormFloat64()}.RGB())
		}
		dabs = append(dabs, d)
	}
	return dabs
}

// Fisher's direction for two classes is that of the first canonical correlation between
// the coordinates and a variable that says which class it is (M. S. Bartlett 1938,
// Proc. Camb. Phil. Soc. 34:33-40, from memory). gonum's stat.CC works that out in another
// way, by singular values.
func TestPlanesDirectionIsThatOfCanonicalCorrelation(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 18))
	for range 20 {
		dabs := slantedDabs(rng, 6, 300, 4)
		f, err := Fit(dabs, PlaneModel)
		require.NoError(t, err)

		var coordinates, classes []float64
		for _, d := range dabs {
			class := -1.0
			if d.Keep {
				class = 1
			}
			for _, c := range d.Colours {
				v := c.Lab()
				coordinates = append(coordinates, v.L, v.A, v.B)
				classes = append(classes, class)
			}
		}
		var cc stat.CC
		n := len(classes)
		require.NoError(t, cc.CanonicalCorrelations(mat.NewDense(n, 3, coordinates), mat.NewDense(n, 1, classes), nil))
		var left mat.Dense
		cc.LeftTo(&left, false)
		want := [3]float64{left.At(0, 0), left.At(1, 0), left.At(2, 0)}
		cos := 0.0
		for i := range want {
			cos += want[i] * f.Pick.Normal[i] / lengthOf(want)
		}
		assert.InDelta(t, 1, math.Abs(cos), 2e-4, "a degree apart; found %v, want %v", f.Pick.Normal, want)
		assert.InDelta(t, 1, lengthOf(f.Pick.Normal), 1e-5)
	}
}

// A fitted plane keeps the keep dabs and leaves the others, is 1 from its level on, and has
// zeros; what it tells of dabs left out is what happens to new ones.
func TestFitPlane(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 18))
	dabs := slantedDabs(rng, 8, 100, 6)
	f, err := Fit(dabs, PlaneModel)
	require.NoError(t, err)
	assert.Greater(t, f.Agreement, 0.97)
	assert.InDelta(t, meanRightOf(f.Pick, slantedDabs(rng, 40, 100, 6)), f.LeftOut[PlaneModel], 0.03)
	assert.True(t, math.IsNaN(f.LeftOut[HSL]) && math.IsNaN(f.LeftOut[LCh]), "not tried")
	r := f.Pick.Limits[Across].Range
	assert.Equal(t, LevelRange(r.From, r.Before, 0), r)
	assert.Greater(t, r.Before, 0.0)
	assert.Greater(t, f.Pick.Normal[0], 0.0, "what is kept is lighter")
	assert.True(t, f.Pick.Limits[Hue].Off && f.Pick.Limits[Sat].Off)
	assert.Len(t, f.Notes, 1)
}

// meanRightOf is the mean weight on keep dabs and missing weight on others, by formula.
func meanRightOf(p Pick, dabs []Dab) float64 {
	right := 0.0
	for _, d := range dabs {
		for _, c := range d.Colours {
			w := p.Weight(p.At(c))
			if !d.Keep {
				w = 1 - w
			}
			right += w / float64(len(d.Colours)*len(dabs))
		}
	}
	return right
}

func TestFitPlaneDependsOnNoOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 18))
	dabs := slantedDabs(rng, 6, 50, 3)
	want, err := Fit(dabs, PlaneModel)
	require.NoError(t, err)
	slices.Reverse(dabs)
	for _, d := range dabs {
		rng.Shuffle(len(d.Colours), func(i, j int) { d.Colours[i], d.Colours[j] = d.Colours[j], d.Colours[i] })
	}
	got, err := Fit(dabs, PlaneModel)
	require.NoError(t, err)
	assert.Equal(t, want.Pick, got.Pick)
	assert.Equal(t, want.Agreement, got.Agreement)
}

func TestFitPlaneNeedsBothKinds(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 18))
	dabs := slantedDabs(rng, 1, 20, 3)
	_, err := Fit(dabs[:1], PlaneModel)
	assert.EqualError(t, err, "selection: found no drop samples, want at least one drop dab for a plane")
	_, err = Fit(dabs[1:], PlaneModel)
	assert.ErrorIs(t, err, ErrNoKeep)
	same := []Dab{{Keep: true, Colours: dabs[0].Colours}, {Colours: dabs[0].Colours}}
	_, err = Fit(same, PlaneModel)
	assert.ErrorIs(t, err, errFlat, "nothing tells them apart")
}

// The level stands half way between samples to keep and samples to drop where both are
// near, and no further than its room from what is kept where the others are far.
func TestLevelStandsBetween(t *testing.T) {
	flat := func(keep bool, light float64) Dab {
		d := Dab{Keep: keep}
		for i := range 9 {
			d.Colours = append(d.Colours, colour.Lab{L: light, A: float64(i % 3), B: float64(i / 3)}.RGB())
		}
		return d
	}
	border := func(drop float64) float64 {
		f, err := Fit([]Dab{flat(true, 60), flat(true, 62), flat(false, drop), flat(false, drop-2)}, PlaneModel)
		require.NoError(t, err)
		require.InDelta(t, 1, f.Pick.Normal[0], 1e-3)
		r := f.Pick.Limits[Across].Range
		return r.From - r.Before/2
	}
	assert.InDelta(t, 59, border(58), 0.5, "half way between 60 and 58")
	bandwidth := bandwidthShare * math.Sqrt2 // of dabs two units apart
	assert.Greater(t, border(20), 60-(4+roomBandwidths)*bandwidth, "no further than samples reach, and the room")
	assert.Less(t, border(20), 60.0)
}

// A plane is offered where it is clearly better and there are six dabs of each kind, and
// an automatic fit never takes it.
func TestPlaneIsOfferedAndNotTaken(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 18))
	dabs := slantedDabs(rng, 6, 60, 4)
	f, err := FitAuto(dabs)
	require.NoError(t, err)
	assert.NotEqual(t, PlaneModel, f.Pick.Model)
	s, err := MeasureSeparation(dabs, f.Pick)
	require.NoError(t, err)
	assert.True(t, s.OffersPlane(), "plane %v, ranges %v", s.Plane.Could, s.Pick.Could)
	assert.Regexp(t, `^A plane tells \d+ of 100 apart, the ranges \d+\.$`, s.Offer())

	few, err := MeasureSeparation(dabs[:10], f.Pick)
	require.NoError(t, err)
	assert.Greater(t, few.Plane.Could.Value, few.Pick.Could.Value+offerPlane)
	assert.False(t, few.OffersPlane(), "five of each kind")
	assert.Empty(t, few.Offer())

	plane, err := Fit(dabs, PlaneModel)
	require.NoError(t, err)
	own, err := MeasureSeparation(dabs, plane.Pick)
	require.NoError(t, err)
	assert.False(t, own.OffersPlane(), "it is one already")
	assert.Equal(t, own.Pick.Set, own.Channels[Across].Set)
	assert.Greater(t, own.Pick.Could.Value, s.Pick.Could.Value+offerPlane, "the plane's pick keeps what was offered")
	assert.Zero(t, own.Channels[Hue])
}
