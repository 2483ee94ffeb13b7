package scene

import (
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// seedsTried are the seeds that are looked at: a frame at full size takes
// seconds, so that all 20 take over a minute. All are looked at where
// HALOCLINE_ALL is set, else three of them, in a short run two.
func seedsTried() []int {
	switch {
	case testing.Short():
		return []int{1, 5} // one of skin darker than the sand, one lighter
	case os.Getenv("HALOCLINE_ALL") == "":
		return []int{1, 5, 13}
	}
	seeds := make([]int, 20)
	for i := range seeds {
		seeds[i] = i + 1
	}
	return seeds
}

// The scene is hard in the right way for every seed: one channel alone separates
// skin from sand only in part, a plane in Lab nearly does; after the base it is no
// worse. The other promises about a picture are checked on the same frames, for
// a frame at full size takes a second. Of 20 seeds at least four have skin darker
// than the sand and four lighter, of three or two at least one; all 20 are
// looked at where HALOCLINE_ALL is set (seedsTried).
func TestHardInTheRightWay(t *testing.T) {
	darker, lighter := 0, 0
	seeds := seedsTried()
	for _, seed := range seeds {
		f := usual(t, seed)
		skin, sand := cloudsOf(f, asItComes)
		require.Greater(t, min(len(skin[0]), len(sand[0])), 2500, "seed %d", seed)
		one, which := bestChannel(&skin, &sand)
		plane := planeArea(&skin, &sand)
		t.Logf("seed %d: best channel %.3f (%d), plane %.3f", seed, one, which, plane)
		assert.InDelta(t, 0.885, one, 0.035, "seed %d: best channel %d, want 0.85 to 0.92", seed, which)
		assert.InDelta(t, 0.975, plane, 0.015, "seed %d: plane, want 0.96 to 0.99", seed)

		s, err := newScene(t.Context(), seed, Width, Height)
		require.NoError(t, err)
		skinAfter, sandAfter := cloudsOf(f, baseOf(s, f))
		oneAfter, _ := bestChannel(&skinAfter, &sandAfter)
		t.Logf("seed %d: after base %.3f, %.3f", seed, oneAfter, planeArea(&skinAfter, &sandAfter))
		assert.GreaterOrEqual(t, oneAfter, one, "seed %d: best channel after base", seed)
		assert.GreaterOrEqual(t, planeArea(&skinAfter, &sandAfter), plane-baseCost, "seed %d: plane after base", seed)
		assert.Less(t, math.Abs(float64(meanHue(skinAfter[hslHue]).ArcTo(meanHue(sandAfter[hslHue])))), 30.0, "seed %d: hues after base", seed)

		if middle(skin[labL]) < middle(sand[labL]) {
			darker++
			checkLightnessFalls(t, seed, &skin, &sand)
		} else {
			lighter++
		}
		checkNoLightnessBound(t, seed, &skin, &sand)
		checkSaturationFalls(t, seed, &skin, &sand)
		checkDabs(t, f, seed)
		checkSpots(t, f, seed)
	}
	t.Logf("%d seeds with skin darker than the sand, %d lighter", darker, lighter)
	few := 3 * len(seeds) / 20
	assert.Greater(t, darker, few, "seeds with skin darker than the sand")
	assert.Greater(t, lighter, few, "seeds with skin lighter than the sand")
}

// baseCost is what the base may take from the plane's: it gives back no light,
// and multiplies noise and rounding where the water took most.
const baseCost = 0.006

func middle(v []float64) float64 {
	v = slices.Sorted(slices.Values(v))
	return v[len(v)/2]
}

// shareWithin returns how much of v lies within [lo, hi].
func shareWithin(v []float64, lo, hi float64) float64 {
	n := 0
	for _, x := range v {
		if x >= lo && x <= hi {
			n++
		}
	}
	return float64(n) / float64(len(v))
}

// Lowering the upper bound of lightness: both recalls only fall, and where the
// skin is the darker the sand falls first (common practice, no source).
func checkLightnessFalls(t *testing.T, seed int, skin, sand *cloudOf) {
	t.Helper()
	assert.Greater(t, middle(sand[hslLightness]), middle(skin[hslLightness]), "seed %d: sand falls below half first", seed)
	lastSkin, lastSand := 1.0, 1.0
	for hi := 1.0; hi >= 0; hi -= 0.02 {
		a, b := shareWithin(skin[hslLightness], 0, hi), shareWithin(sand[hslLightness], 0, hi)
		assert.LessOrEqual(t, a, lastSkin, "seed %d", seed)
		assert.LessOrEqual(t, b, lastSand, "seed %d", seed)
		lastSkin, lastSand = a, b
	}
	assert.Zero(t, lastSand)
}

// Raising the lower bound of saturation: both recalls only fall, from all to
// nothing (common practice, no source).
func checkSaturationFalls(t *testing.T, seed int, skin, sand *cloudOf) {
	t.Helper()
	for _, v := range [][]float64{skin[hslSaturation], sand[hslSaturation]} {
		last := 1.0
		for lo := 0.0; lo <= 1; lo += 0.02 {
			now := shareWithin(v, lo, 1)
			assert.LessOrEqual(t, now, last, "seed %d", seed)
			last = now
		}
		assert.Less(t, last, 0.01)
	}
}

// No bound of lightness alone keeps 95 % of the skin and drops 95 % of the
// sand, from above or from below (common practice, no source).
func checkNoLightnessBound(t *testing.T, seed int, skin, sand *cloudOf) {
	t.Helper()
	for i := range 101 {
		at := float64(i) / 100
		for _, r := range [2][2]float64{{0, at}, {at, 1}} {
			keeps := shareWithin(skin[hslLightness], r[0], r[1])
			drops := 1 - shareWithin(sand[hslLightness], r[0], r[1])
			assert.False(t, keeps >= 0.95 && drops >= 0.95, "seed %d: lightness %v does it alone", seed, r)
		}
	}
}

// Hanley & McNeil (1982), Radiology 143: pairs counted by hand, ties half.
func TestRocArea(t *testing.T) {
	assert.InDelta(t, 1, rocArea([]float64{3, 4}, []float64{1, 2}), 1e-12)
	assert.InDelta(t, 1, rocArea([]float64{1, 2}, []float64{3, 4}), 1e-12)
	assert.InDelta(t, 0.5, rocArea([]float64{1, 1}, []float64{1, 1}), 1e-12)
	// 1<2, 1<3, 2=2 (half), 2<3: 3.5 of 4 pairs.
	assert.InDelta(t, 0.875, rocArea([]float64{1, 2}, []float64{2, 3}), 1e-12)
}
