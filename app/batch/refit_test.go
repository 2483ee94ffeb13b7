package batch

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/work"
	"halocline/selection"
)

// dabFrames counts a matte's dabs by frame.
func dabFrames(t *testing.T, path, name string) map[int]int {
	t.Helper()
	s, err := study.Load(path)
	require.NoError(t, err)
	frames := map[int]int{}
	for _, d := range s.MatteNamed(name).Dabs {
		frames[d.Frame]++
	}
	return frames
}

// --replace puts samples in place of the dabs of their frame, and says that those of
// other frames stay; with --all-frames it says how many go.
func TestFitReplaceKeepsDabsOfOtherFrames(t *testing.T) {
	b := newBeach(t)
	first := result[fitReport](t, "fit", b.sequence(t, 1, 2, 3), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	fit := func(flags ...string) []string {
		return append([]string{"fit", first.Study, "--keep", b.keep, "--drop", b.drop, "--name", "skin"}, flags...)
	}
	result[fitReport](t, fit("--add", "--frame", "3")...)
	n := first.Dabs
	require.Equal(t, map[int]int{1: n, 3: n}, dabFrames(t, first.Study, "skin"))

	again := result[fitReport](t, fit("--replace", "--frame", "3")...)
	require.Equal(t, map[int]int{1: n, 3: n}, dabFrames(t, first.Study, "skin"))
	require.Equal(t, []int{n, n, n}, []int{again.Dabs, again.Dropped, again.Kept})
	require.Equal(t, 2*first.Separation.Keep, again.Separation.Keep, "the fit is to both frames")
	status, _, said := run(t, fit("--replace", "--frame", "3")...)
	require.Zero(t, status)
	require.Contains(t, said, `matte "skin": its 6 dabs of other frames stay`)

	status, _, said = run(t, fit("--replace", "--all-frames", "--frame", "3")...)
	require.Zero(t, status)
	require.Contains(t, said, `matte "skin": its 12 dabs of all frames are dropped`)
	require.Equal(t, map[int]int{3: n}, dabFrames(t, first.Study, "skin"))
}

// --refit fits a matte to the colours under the dabs that it has, through the base as
// it is now.
func TestRefitNeedsNoSamples(t *testing.T) {
	b := newBeach(t)
	first := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[maskResult](t, "mask", first.Study, "--matte", "skin", "--points", leftHalf)
	base := result[baseResult](t, "base", first.Study, "--exposure", "1", "--grey", "80,110,6")
	require.Equal(t, []string{`matte "skin" was made before this change of the base: fit it again (fit --refit --name skin)`}, base.Notes)

	refit := result[fitReport](t, "fit", first.Study, "--refit", "--name", "Skin")
	require.Equal(t, "skin", refit.Matte)
	require.NotEqual(t, first.Pick, refit.Pick, "the base changed")
	require.Equal(t, []int{0, 0, first.Dabs}, []int{refit.Dabs, refit.Dropped, refit.Kept})
	s, err := study.Load(first.Study)
	require.NoError(t, err)
	require.Len(t, s.Mattes, 1)
	require.Len(t, s.Mattes[0].Masks, 1)
	require.True(t, s.Mattes[0].Pick.Fitted)
	require.Equal(t, map[int]int{7: first.Dabs}, dabFrames(t, first.Study, "skin"))
	w, err := work.OpenStudy(t.Context(), first.Study)
	require.NoError(t, err)
	under, err := w.Renderer.DabSamples(t.Context(), w.Study, &w.Study.Mattes[0])
	require.NoError(t, err)
	want, err := selection.FitAuto(under)
	require.NoError(t, err)
	require.Equal(t, reportPick(want.Pick), refit.Pick)

	hsl := result[fitReport](t, "fit", first.Study, "--refit", "--name", "skin", "--model", "hsl")
	require.Equal(t, "hsl", hsl.Pick.Model)

	s.MatteNamed("skin").Dabs = nil
	require.NoError(t, study.Save(first.Study, s))
	before, err := os.ReadFile(first.Study)
	require.NoError(t, err)
	for args, says := range map[string]string{
		"--refit --name skin":              `matte "skin" of ` + first.Study + ` has no dabs to fit it to, want samples with --keep MASK --replace`,
		"--refit --name hair":              `has no matte "hair", want one of "skin"`,
		"--refit --name skin --keep a.png": "--keep has no meaning with --refit",
		"--refit --name skin --add":        "--add has no meaning with --refit",
		"--all-frames --keep a.png":        "--all-frames has no meaning without --replace",
	} {
		status, stdout, stderr := run(t, append([]string{"fit", first.Study}, strings.Fields(args)...)...)
		require.NotZero(t, status, args)
		require.Empty(t, stdout)
		require.Contains(t, stderr, says)
		require.Equal(t, 1, strings.Count(stderr, "\n"), "one line: %s", stderr)
		after, err := os.ReadFile(first.Study)
		require.NoError(t, err)
		require.Equal(t, before, after)
	}
}

// Without --name the matte's only mask gets a key on the frame; where the call could
// mean another mask, or would change what the mask is, it is refused.
func TestMaskWithoutANameKeysTheOnlyOne(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, span(1, 9)...), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	call := func(flags ...string) []string {
		return append([]string{"mask", fit.Study, "--matte", "skin"}, flags...)
	}
	made := result[maskResult](t, call("--points", leftHalf, "--feather", "2,3")...)
	require.Equal(t, "mask", made.Masks[0].Name)

	status, stdout, stderr := run(t, call("--points", "0,0 60,0 60,120 0,120", "--frame", "9")...)
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, `mask "mask" has a key at frame 9 now: --name draws another mask`)
	require.NotContains(t, stdout, "mask 2")
	s, err := study.Load(fit.Study)
	require.NoError(t, err)
	require.Len(t, s.Mattes[0].Masks, 1)
	keys := s.Mattes[0].Masks[0].Keys
	require.Equal(t, []int{1, 9}, []int{keys[0].Frame, keys[1].Frame})
	require.Equal(t, []float64{2, 3}, []float64{keys[1].Inner, keys[1].Outer}, "what is not given stays")

	refused := func(says string, flags ...string) {
		t.Helper()
		before, err := os.ReadFile(fit.Study)
		require.NoError(t, err)
		status, stdout, stderr := run(t, call(flags...)...)
		require.Equal(t, failed, status)
		require.Empty(t, stdout)
		require.Contains(t, stderr, says)
		require.Equal(t, 1, strings.Count(stderr, "\n"), "one line: %s", stderr)
		after, err := os.ReadFile(fit.Study)
		require.NoError(t, err)
		require.Equal(t, before, after)
	}
	refused(`mask "mask" has 4 corners and --points has 5, want 4 as in each of its keys`, "--points", leftHalf+" 1,1", "--frame", "5")
	refused(`mask "mask" has 4 corners and --points has 5, want 4 as in each of its keys`, "--points", leftHalf+" 1,1", "--frame", "5", "--name", "Mask")
	refused(`mask "mask" of matte "skin" is a keep mask, and --drop=true asks for another kind`, "--points", leftHalf, "--drop", "--frame", "5")

	result[maskResult](t, call("--points", "1,1 9,1 9,9", "--drop", "--name", "hole")...)
	refused(`matte "skin" has the masks "mask", "hole": want --name with one of them`, "--points", leftHalf, "--frame", "5")
	redrawn := result[maskResult](t, call("--points", leftHalf, "--name", "hole")...)
	require.Len(t, redrawn.Masks[1].Keys[0].Points, 4, "its only key is drawn anew")
	require.Equal(t, "drop", redrawn.Masks[1].Kind)
}
