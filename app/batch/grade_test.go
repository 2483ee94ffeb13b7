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
	made, err := makeTake(t.Context(), t.TempDir(), "sample", 1, size{640, 360}, 1)
	require.NoError(t, err)
	require.NoError(t, made.SetBase(t.Context()))
	require.NoError(t, made.Fit(t.Context()))
	grades := map[string]colour.CDL{
		"skin":  {Slope: [3]float64{1.15, 1.02, 0.9}, Offset: [3]float64{0.01, 0, 0}, Power: [3]float64{0.9, 0.92, 0.95}, Saturation: 1.1},
		"sand":  {Slope: [3]float64{1, 1, 1}, Offset: [3]float64{-0.03, -0.03, 0}, Power: [3]float64{1.2, 1.2, 1.2}, Saturation: 0.6},
		"water": {Slope: [3]float64{0.8, 0.85, 0.95}, Power: [3]float64{1, 1, 1}, Saturation: 1.3},
	}
	for i := range made.Study.Mattes {
		m := &made.Study.Mattes[i]
		require.NoError(t, m.Trial.SetCDL(1, grades[m.Name]))
		m.Edge.Soften.Fix(float64(i))
	}
	require.NoError(t, made.save(t.Context()))

	mattes, base := exported(t, made.path, "matte", "16"), exported(t, made.path, "base", "16")["base"]
	base8, trial := exported(t, made.path, "base", "8")["base"], exported(t, made.path, "trial", "8")["trial"]
	require.Len(t, mattes, 3)
	worst, outside, graded := 0.0, 0, 0
	for y := range 360 {
		for x := range 640 {
			v, covered := encodedAt(base, x, y), false
			for _, m := range made.Study.Mattes { // in their order
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
