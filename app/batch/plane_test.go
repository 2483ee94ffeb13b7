package batch

import (
	"io"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/export"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// newSlope is a picture of two things on the left and on the right that differ along one
// direction aslant to hue, chroma and lightness alone, in six lights each, with discs on
// each of them.
func newSlope(t *testing.T) beach {
	b := beach{folder: t.TempDir()}
	rng := rand.New(rand.NewPCG(4, 18))
	m := colour.NewImage(beachW, beachH)
	var keep, drop [][2]int
	lights := []float64{-16, -9, -3, 4, 10, 17}
	const tall = beachH / 6
	for i, light := range lights {
		for y := i * tall; y < (i+1)*tall; y++ {
			for x := range beachW {
				side := -4.0
				if x < beachW/2 {
					side = 4
				}
				v := colour.Lab{L: 50 + light + side + rng.NormFloat64(), A: 5 + light - side + rng.NormFloat64(), B: 12 + rng.NormFloat64()}.RGB()
				m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = float32(v.R), float32(v.G), float32(v.B)
			}
		}
		keep = append(keep, [2]int{beachW / 4, i*tall + tall/2})
		drop = append(drop, [2]int{3 * beachW / 4, i*tall + tall/2})
	}
	b.picture = writePNG(t, b.at("dive.0007.png"), func(w io.Writer) error { return export.EncodeRGB(w, m, 8) })
	b.keep, b.drop = discMask(t, b.at("keep.png"), keep), discMask(t, b.at("drop.png"), drop)
	return b
}

// An automatic fit offers a plane and does not take it; --model plane takes it, and then
// the plane tells the dabs apart as well as it was offered.
func TestFitOffersAPlane(t *testing.T) {
	b := newSlope(t)
	fit := []string{"fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin"}
	auto := result[fitReport](t, fit...)
	require.NotEqual(t, "plane", auto.Pick.Model)
	assert.Regexp(t, `^A plane tells \d+ of 100 apart, the ranges \d+\.$`, auto.Separation.Offer)
	assert.Nil(t, auto.LeftOut.Plane)
	assert.Nil(t, auto.Pick.Plane)
	status, _, said := run(t, "fit", auto.Study, "--refit", "--name", "skin")
	require.Zero(t, status)
	assert.Contains(t, said, auto.Separation.Offer+" --refit --model plane takes it")

	told := result[separationReport](t, "separation", b.picture, "--keep", b.keep, "--drop", b.drop)
	assert.Equal(t, auto.Separation.Offer, told.Offer)

	plane := result[fitReport](t, "fit", auto.Study, "--refit", "--name", "skin", "--model", "plane")
	require.Equal(t, "plane", plane.Pick.Model)
	assert.Nil(t, plane.Pick.Hue)
	assert.Zero(t, plane.Pick.Plane.FadeAfter)
	assert.Empty(t, plane.Separation.Offer)
	assert.Len(t, plane.Separation.Channels, 1)
	assert.Greater(t, plane.Separation.Pick.Could.Value, auto.Separation.Pick.Could.Value+0.05)
	assert.Greater(t, *plane.LeftOut.Plane, 0.9)

	info := result[studyInfo](t, "info", auto.Study)
	assert.Equal(t, plane.Pick, info.Mattes[0].Pick)
}

// The verb sets level and fades, on every frame or by keys, and leaves what is not given.
func TestPlaneVerb(t *testing.T) {
	b := newSlope(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 1, 2, 3), "--keep", b.keep, "--drop", b.drop, "--name", "skin", "--model", "plane")
	first := result[planeResult](t, "plane", fit.Study, "--matte", "skin", "--level", "12", "--fade-after", "1.5")
	want := *fit.Pick.Plane
	want.Level, want.FadeAfter = 12, 1.5
	assert.Equal(t, want, *first.Pick.Plane)

	result[planeResult](t, "plane", fit.Study, "--matte", "skin", "--level", "12", "--key")
	third := result[planeResult](t, "plane", fit.Study, "--matte", "skin", "--level", "20", "--frame", "3")
	assert.Equal(t, 20.0, third.Pick.Plane.Level)
	s, err := study.Load(fit.Study)
	require.NoError(t, err)
	p := s.MatteNamed("skin").Pick
	assert.False(t, p.Fitted, "set by hand")
	assert.Equal(t, selection.LevelRange(16, want.FadeBefore, 1.5), p.At(2).Limits[selection.Across].Range, "half way between two keys")

	all := result[planeResult](t, "plane", fit.Study, "--matte", "skin", "--all-but")
	assert.True(t, all.Pick.Plane.Inverted)
	assert.False(t, result[planeResult](t, "plane", fit.Study, "--matte", "skin", "--all-but=false").Pick.Plane.Inverted)

	out := filepath.Join(b.folder, "out")
	status, _, said := run(t, "export", fit.Study, "--out", out)
	require.Zero(t, status, said)
	status, _, said = run(t, "verify", out)
	require.Zero(t, status, said)
	status, _, said = run(t, "proofs", fit.Study, "--matte", "skin", "--frames", "1", "--sweep", "plane-level=0:20:3")
	require.Zero(t, status, said)
}

func TestPlaneVerbRefuses(t *testing.T) {
	b := newSlope(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin", "--model", "lch")
	for _, c := range []struct {
		args []string
		want string
		code int
	}{
		{[]string{fit.Study, "--level", "3"}, "found no --matte NAME, want the matte whose plane to set", misused},
		{[]string{fit.Study, "--matte", "skin", "--level", "3"}, `is picked in lch, want a pick by plane (fit --refit --model plane makes it one)`, failed},
	} {
		status, _, said := run(t, append([]string{"plane"}, c.args...)...)
		assert.Equal(t, c.code, status)
		assert.Contains(t, said, c.want)
	}
	result[fitReport](t, "fit", fit.Study, "--refit", "--name", "skin", "--model", "plane")
	status, _, said := run(t, "plane", fit.Study, "--matte", "skin", "--level", "500")
	assert.Equal(t, failed, status)
	assert.Contains(t, said, "plane level is 500, want -170 to 170")
	status, _, said = run(t, "fit", b.picture, "--keep", b.keep, "--name", "alone", "--model", "plane")
	assert.Equal(t, failed, status)
	assert.Contains(t, said, "found no drop samples, want at least one drop dab for a plane")
}
