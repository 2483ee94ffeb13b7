package staging

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/colour"
)

// meanWhere returns the mean of what each gives where a truth is whole.
func meanWhere(truth colour.Plane, each func(x, y int) float64) float64 {
	sum, n := 0.0, 0
	for i, v := range truth.Pix {
		if v >= 0.999 {
			sum += each(i%truth.W, i/truth.W)
			n++
		}
	}
	return sum / float64(n)
}

// shades are colours and how often each occurs.
type shades map[colour.RGB]int

// shadesOf returns the colours of a picture where a truth is whole. The water of a scene has
// some 12,000 on 330,000 pixels.
func shadesOf(shown *colour.Image, truth colour.Plane) shades {
	out := shades{}
	for i, v := range truth.Pix {
		if v >= 0.999 {
			out[shown.RGB(i%truth.W, i/truth.W)]++
		}
	}
	return out
}

// lightness returns the mean L* after a grade.
func (s shades) lightness(d colour.CDL) float64 {
	sum, n := 0.0, 0
	for c, often := range s {
		sum += d.Colour(c).Lab().L * float64(often)
		n += often
	}
	return sum / float64(n)
}

// darker returns the grade by lightness alone that takes the mean L* of shades down
// by so much.
func darker(t *testing.T, of shades, by float64) colour.CDL {
	before := of.lightness(colour.NeutralCDL())
	low, high := -2.0, 0.0
	var d colour.CDL
	for range 20 {
		middle := (low + high) / 2
		var err error
		d, err = colour.NeutralCDL().WithControls(colour.CDLControls{Lightness: middle, Contrast: 1}, colour.MiddlePivot)
		require.NoError(t, err)
		if before-of.lightness(d) > by {
			low = middle
		} else {
			high = middle
		}
	}
	require.InDelta(t, by, before-of.lightness(d), 0.01)
	return d
}

// Water darkened by 5 L* through its fitted matte leaves skin and near sand, where
// their true weight is 1, as good as they were.
func TestDarkerWaterLeavesSkinAndSand(t *testing.T) {
	if testing.Short() {
		t.Skip("three scenes at full size")
	}
	for seed := 1; seed <= 3; seed++ {
		came, based := stillOf(t, seed)
		for _, take := range []*Take{came, based} {
			q := render.Request{Study: take.Study, Frame: 1}
			shown, err := take.Renderer.Shown(t.Context(), q)
			require.NoError(t, err)
			water := take.Study.MatteNamed("water")
			require.NoError(t, water.Trial.SetCDL(1, darker(t, shadesOf(shown, take.Frame.Water), 5)))
			trial, err := take.Renderer.Trial(t.Context(), q)
			require.NoError(t, err)
			moved := func(truth colour.Plane) float64 {
				return meanWhere(truth, func(x, y int) float64 { return shown.RGB(x, y).Lab().DeltaE(trial.RGB(x, y).Lab()) })
			}
			skin, sand, wet := moved(take.Frame.Skin), moved(take.Frame.Sand), moved(take.Frame.Water)
			matte, err := take.Renderer.Matte(t.Context(), render.Request{Study: take.Study, Settings: &water.Settings, Frame: 1})
			require.NoError(t, err)
			share := func(truth colour.Plane) float64 {
				return meanWhere(truth, func(x, y int) float64 { return float64(matte.At(x, y)) })
			}
			t.Logf("seed %d, base %t: water moves by %.2f dE00, skin by %.2g, sand by %.2g; the matte covers %.3f, %.2g, %.2g of them", seed, take == based,
				wet, skin, sand, share(take.Frame.Water), share(take.Frame.Skin), share(take.Frame.Sand))
			assert.Less(t, skin, 0.5)
			assert.Less(t, sand, 0.5)
			assert.Greater(t, wet, 2.0)
		}
	}
}
