package batch

import (
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/sample"
	"halocline/colour"
)

// exported writes a kind of a study's first frame and returns the pictures by
// the names of their folders, read by the standard library.
func exported(t *testing.T, studyPath, kind, depth string) map[string]image.Image {
	out := filepath.Join(t.TempDir(), kind)
	report := result[exportReport](t, "export", studyPath, "--out", out, "--kind", kind, "--depth", depth)
	all := map[string]image.Image{}
	for _, e := range report.Files {
		f, err := os.Open(filepath.Join(out, filepath.FromSlash(e.Name)))
		require.NoError(t, err)
		m, err := png.Decode(f)
		require.NoError(t, err)
		require.NoError(t, f.Close())
		all[filepath.Dir(e.Name)] = m
	}
	return all
}

func encodedAt(m image.Image, x, y int) [3]float64 {
	r, g, b, _ := m.At(x, y).RGBA()
	return [3]float64{float64(r) / 65535, float64(g) / 65535, float64(b) / 65535}
}

// plainCDL is the formula of the release, written out once more.
func plainCDL(v [3]float64, d colour.CDL) [3]float64 {
	clamp := func(x float64) float64 { return math.Max(0, math.Min(1, x)) }
	for c := range v {
		v[c] = math.Pow(clamp(v[c]*d.Slope[c]+d.Offset[c]), d.Power[c])
	}
	y := 0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2]
	for c := range v {
		v[c] = clamp(y + d.Saturation*(v[c]-y))
	}
	return v
}

// What a person composes of exported 16-bit mattes, the exported base and the
// CDLs, by the formula alone, is the exported trial within one code of 8 bits; and
// where no matte covers anything it has the base's own bytes.
func TestComposingWhatIsExportedIsTheTrial(t *testing.T) {
	set, err := makeSample(t.Context(), t.TempDir(), "sample", 1, size{640, 360}, 1)
	require.NoError(t, err)
	require.NoError(t, set.setBase(t.Context()))
	require.NoError(t, set.fit(t.Context()))
	grades := map[string]colour.CDL{
		"skin":  {Slope: [3]float64{1.15, 1.02, 0.9}, Offset: [3]float64{0.01, 0, 0}, Power: [3]float64{0.9, 0.92, 0.95}, Saturation: 1.1},
		"sand":  {Slope: [3]float64{1, 1, 1}, Offset: [3]float64{-0.03, -0.03, 0}, Power: [3]float64{1.2, 1.2, 1.2}, Saturation: 0.6},
		"water": {Slope: [3]float64{0.8, 0.85, 0.95}, Power: [3]float64{1, 1, 1}, Saturation: 1.3},
	}
	for i := range set.study.Mattes {
		m := &set.study.Mattes[i]
		require.NoError(t, m.Trial.SetCDL(1, grades[m.Name]))
		m.Edge.Soften.Fix(float64(i))
	}
	require.NoError(t, set.save())

	mattes, base := exported(t, set.studyPath, "matte", "16"), exported(t, set.studyPath, "base", "16")["base"]
	base8, trial := exported(t, set.studyPath, "base", "8")["base"], exported(t, set.studyPath, "trial", "8")["trial"]
	require.Len(t, mattes, 3)
	worst, outside, graded := 0.0, 0, 0
	for y := range 360 {
		for x := range 640 {
			v, covered := encodedAt(base, x, y), false
			for _, m := range set.study.Mattes { // in their order
				code := mattes[m.Name].(*image.Gray16).Gray16At(x, y).Y
				covered = covered || code > 0
				alpha, to := float64(code)/65535, plainCDL(v, grades[m.Name])
				for c := range v {
					v[c] += alpha * (to[c] - v[c])
				}
			}
			got := encodedAt(trial, x, y)
			if !covered {
				outside++
				require.Equal(t, base8.At(x, y), trial.At(x, y), "(%d,%d)", x, y)
			} else if base8.At(x, y) != trial.At(x, y) {
				graded++
			}
			for c := range v {
				worst = max(worst, math.Abs(math.Round(v[c]*255)-math.Round(got[c]*255)))
			}
		}
	}
	t.Logf("worst %g codes of 8 bits; %.1f %% outside all mattes, %.1f %% graded", worst, 100*float64(outside)/(640*360), 100*float64(graded)/(640*360))
	assert.LessOrEqual(t, worst, 1.0)
	assert.NotZero(t, outside)
	assert.NotZero(t, graded)
}

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

// darker returns the grade by lightness alone that takes the mean L* down by so
// much where a truth is whole.
func darker(t *testing.T, shown *colour.Image, truth colour.Plane, by float64) colour.CDL {
	lightness := func(d colour.CDL) float64 {
		return meanWhere(truth, func(x, y int) float64 { return d.Colour(shown.RGB(x, y)).Lab().L })
	}
	before := lightness(colour.NeutralCDL())
	low, high := -2.0, 0.0
	var d colour.CDL
	for range 20 {
		middle := (low + high) / 2
		var err error
		d, err = colour.NeutralCDL().WithControls(colour.CDLControls{Lightness: middle, Contrast: 1}, colour.MiddlePivot)
		require.NoError(t, err)
		if before-lightness(d) > by {
			low = middle
		} else {
			high = middle
		}
	}
	require.InDelta(t, by, before-lightness(d), 0.01)
	return d
}

// Water darkened by 5 L* through its fitted matte leaves skin and near sand, where
// their true weight is 1, as good as they were.
func TestDarkerWaterLeavesSkinAndSand(t *testing.T) {
	if testing.Short() {
		t.Skip("three scenes at full size")
	}
	for seed := 1; seed <= 3; seed++ {
		set, err := makeSample(t.Context(), t.TempDir(), "sample", seed, size{sample.Width, sample.Height}, 1)
		require.NoError(t, err)
		for _, based := range []bool{false, true} {
			if based {
				require.NoError(t, set.setBase(t.Context()))
				require.NoError(t, set.fit(t.Context()))
			}
			q := render.Request{Study: set.study, Frame: 1}
			shown, err := set.renderer.Shown(t.Context(), q)
			require.NoError(t, err)
			water := set.study.MatteNamed("water")
			require.NoError(t, water.Trial.SetCDL(1, darker(t, shown, set.frame.Water, 5)))
			trial, err := set.renderer.Trial(t.Context(), q)
			require.NoError(t, err)
			moved := func(truth colour.Plane) float64 {
				return meanWhere(truth, func(x, y int) float64 { return shown.RGB(x, y).Lab().DeltaE(trial.RGB(x, y).Lab()) })
			}
			skin, sand, wet := moved(set.frame.Skin), moved(set.frame.Sand), moved(set.frame.Water)
			matte, err := set.renderer.Matte(t.Context(), render.Request{Study: set.study, Settings: &water.Settings, Frame: 1})
			require.NoError(t, err)
			share := func(truth colour.Plane) float64 {
				return meanWhere(truth, func(x, y int) float64 { return float64(matte.At(x, y)) })
			}
			t.Logf("seed %d, base %t: water moves by %.2f dE00, skin by %.2g, sand by %.2g; the matte covers %.3f, %.2g, %.2g of them", seed, based,
				wet, skin, sand, share(set.frame.Water), share(set.frame.Skin), share(set.frame.Sand))
			assert.Less(t, skin, 0.5)
			assert.Less(t, sand, 0.5)
			assert.Greater(t, wet, 2.0)
		}
	}
}
