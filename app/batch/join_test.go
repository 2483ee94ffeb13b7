package batch

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/study"
	"halocline/colour"
)

// newJoins is the beach with three mattes of its skin: two that keep to the left and to
// the right part of the picture, and one without masks.
func newJoins(t *testing.T) (b beach, path string) {
	b = newBeach(t)
	path = result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "left").Study
	for _, name := range []string{"right", "skin"} {
		result[fitReport](t, "fit", path, "--keep", b.keep, "--drop", b.drop, "--name", name)
	}
	result[maskResult](t, "mask", path, "--matte", "left", "--points", "0,0 90,0 90,120 0,120")
	result[maskResult](t, "mask", path, "--matte", "right", "--points", "70,0 160,0 160,120 70,120")
	return b, path
}

// exportedMattes is what an export wrote, by matte.
func exportedMattes(t *testing.T, b beach, out string, args ...string) map[string]colour.Plane {
	t.Helper()
	folder := b.at(out)
	mattes := map[string]colour.Plane{}
	for _, e := range result[exportReport](t, append(args, "--out", folder)...).Files {
		p, _, err := clip.ReadGrey(t.Context(), filepath.Join(folder, e.Name))
		require.NoError(t, err)
		mattes[e.Matte] = p
	}
	return mattes
}

// Each way to join shows in what export writes: at a place of the left part alone, of the
// right part alone, of both, and of neither.
func TestJoinInAllWays(t *testing.T) {
	b, path := newJoins(t)
	leftAlone, rightAlone, both, neither := [2]int{40, 75}, [2]int{120, 75}, [2]int{80, 75}, [2]int{80, 105}
	for how, kept := range map[string][][2]int{
		"add":       {leftAlone, rightAlone, both},
		"touching":  {leftAlone, rightAlone, both},
		"take-away": {leftAlone},
		"within":    {both},
	} {
		made := result[joinResult](t, "join", path, "--matte", "LEFT", "--with", "Right", "--how", how)
		require.Equal(t, joinResult{path, "left", []joinReport{{"right", how}}, []string{}}, made, "in place of the one before")
		matte := exportedMattes(t, b, how, "export", path, "--matte", "left")["left"]
		for _, at := range [][2]int{leftAlone, rightAlone, both, neither} {
			want := 0.
			if slices.Contains(kept, at) {
				want = 1
			}
			assert.InDelta(t, want, matte.At(at[0], at[1]), 0.1, "%s at %v", how, at)
		}
	}
	made := result[joinResult](t, "join", path, "--matte", "left", "--with", "right", "--remove")
	require.Equal(t, []joinReport{}, made.Joins)
	matte := exportedMattes(t, b, "removed", "export", path, "--matte", "left")["left"]
	assert.Zero(t, matte.At(rightAlone[0], rightAlone[1]))
}

// Mattes are taken in in the order of the calls, which a new way to join does not change.
func TestJoinKeepsTheOrder(t *testing.T) {
	_, path := newJoins(t)
	result[joinResult](t, "join", path, "--matte", "skin", "--with", "right", "--how", "add")
	result[joinResult](t, "join", path, "--matte", "skin", "--with", "left", "--how", "take-away")
	made := result[joinResult](t, "join", path, "--matte", "skin", "--with", "right", "--how", "within", "--not-exported", "right")
	assert.Equal(t, []joinReport{{"right", "within"}, {"left", "take-away"}}, made.Joins)
	assert.Equal(t, []string{"right"}, made.NotExported)
	info := result[studyInfo](t, "info", path)
	require.Len(t, info.Mattes, 3)
	assert.Equal(t, made.Joins, info.Mattes[2].Joins)
	assert.Empty(t, info.Mattes[0].Joins)
	assert.Equal(t, []bool{false, true, false}, []bool{info.Mattes[0].NotExported, info.Mattes[1].NotExported, info.Mattes[2].NotExported})
	s, err := study.Load(path)
	require.NoError(t, err)
	assert.Equal(t, []study.Join{{With: info.Mattes[1].ID, How: study.Within}, {With: info.Mattes[0].ID, How: study.TakeAway}}, s.Mattes[2].Joins)
}

// What is marked as not exported is left out of an export of all mattes, which says so
// once; by name it is exported. Its trial counts as before.
func TestNotExportedMattes(t *testing.T) {
	b, path := newJoins(t)
	marked := result[joinResult](t, "join", path, "--not-exported", "left", "--not-exported", "RIGHT")
	assert.Equal(t, joinResult{path, "", nil, []string{"left", "right"}}, marked)
	status, _, stderr := run(t, "export", path, "--out", b.at("all"))
	require.Zero(t, status)
	assert.Equal(t, "halocline-batch: export: left out, marked as not exported: \"left\", \"right\"; --matte NAME exports one all the same\n", stderr)
	assert.FileExists(t, filepath.Join(b.at("all"), "skin", "dive-skin.000007.png"))
	assert.NoDirExists(t, filepath.Join(b.at("all"), "left"))

	status, _, stderr = run(t, "export", path, "--out", b.at("named"), "--matte", "left")
	require.Zero(t, status)
	assert.Empty(t, stderr)
	assert.FileExists(t, filepath.Join(b.at("named"), "left", "dive-left.000007.png"))

	result[joinResult](t, "join", path, "--not-exported", "skin")
	status, stdout, stderr := run(t, "export", path, "--out", b.at("none"))
	assert.Equal(t, failed, status)
	assert.Empty(t, stdout)
	assert.Contains(t, stderr, `has no matte that is to be exported, all are marked as not exported: want --matte with one of "left", "right", "skin"`)
	for _, kind := range []string{"base", "trial"} {
		status, _, stderr := run(t, "export", path, "--out", b.at(kind), "--kind", kind)
		assert.Zero(t, status, kind)
		assert.Empty(t, stderr)
	}
	before, err := os.ReadFile(filepath.Join(b.at("trial"), "trial", "dive-trial.000007.png"))
	require.NoError(t, err)
	result[trialResult](t, "trial", path, "--matte", "left", "--slope", "2,1,1")
	result[exportReport](t, "export", path, "--out", b.at("trial"), "--kind", "trial")
	after, err := os.ReadFile(filepath.Join(b.at("trial"), "trial", "dive-trial.000007.png"))
	require.NoError(t, err)
	assert.NotEqual(t, before, after, "a trial through a matte that is not exported")

	again := result[joinResult](t, "join", path, "--exported", "left", "--exported", "skin")
	assert.Equal(t, []string{"right"}, again.NotExported)
	assert.ElementsMatch(t, []string{"left", "skin"}, slices.Collect(maps.Keys(exportedMattes(t, b, "again", "export", path))))
}

// All kinds of pictures of a joined matte are written, and are out of date once the matte
// that it takes in has changed; the pick and the masks are its own.
func TestExportFollowsWhatIsTakenIn(t *testing.T) {
	b, path := newJoins(t)
	result[joinResult](t, "join", path, "--matte", "left", "--with", "right", "--how", "add", "--not-exported", "right")
	kinds := []string{"matte", "cutout", "hatch", "reasons", "pick", "mask"}
	write := func() (stale []string) {
		for _, kind := range kinds {
			args := []string{"export", path, "--out", b.at(kind), "--matte", "left", "--kind", kind, "--depth", "8"}
			old, _ := os.ReadFile(filepath.Join(b.at(kind), "out.png"))
			files := result[exportReport](t, append(args, "--pattern", "out.png", "--no-sheet")...).Files
			require.Len(t, files, 1)
			now, err := os.ReadFile(filepath.Join(b.at(kind), "out.png"))
			require.NoError(t, err)
			if string(old) != string(now) {
				stale = append(stale, kind)
			}
		}
		return stale
	}
	require.Equal(t, kinds, write())
	require.Empty(t, write())
	result[maskResult](t, "mask", path, "--matte", "right", "--points", "70,0 100,0 100,120 70,120")
	assert.Equal(t, []string{"matte", "cutout", "hatch", "reasons"}, write())
}

// A joined matte is judged as a whole: its area is that of both, the masks of both count,
// and so do the dabs of what it takes in, as far as they say something of the whole.
func TestCheckOfAJoinedMatte(t *testing.T) {
	b, path := newJoins(t)
	result[joinResult](t, "join", path, "--matte", "left", "--with", "right", "--how", "add")
	m := result[checkedClip](t, "check", path, "--matte", "left").Mattes[0].Frames[0]
	assert.InDelta(t, 119*29/(160.*120), m.Area, 0.01)
	require.Len(t, m.Shifts, 2)
	assert.Equal(t, []string{"mask", "", "mask", "right"}, []string{m.Shifts[0].Mask, m.Shifts[0].Matte, m.Shifts[1].Mask, m.Shifts[1].Matte})
	require.NotNil(t, m.Dropped)
	assert.Less(t, *m.Dropped, 0.02)

	// Sand and skin are kept, and what is taken away says that the sand is to be dropped.
	result[fitReport](t, "fit", path, "--keep", b.drop, "--drop", b.keep, "--name", "sand")
	result[fitReport](t, "fit", path, "--keep", b.keep, "--name", "all")
	before := result[checkedClip](t, "check", path, "--matte", "all").Mattes[0].Frames[0]
	assert.Nil(t, before.Dropped, "dabs of one kind")
	result[joinResult](t, "join", path, "--matte", "all", "--with", "sand", "--how", "take-away")
	after := result[checkedClip](t, "check", path, "--matte", "all").Mattes[0].Frames[0]
	assert.NotNil(t, after.Dropped)
}

func TestJoinRefuses(t *testing.T) {
	_, path := newJoins(t)
	result[joinResult](t, "join", path, "--matte", "left", "--with", "right", "--how", "add")
	result[joinResult](t, "join", path, "--matte", "right", "--with", "skin", "--how", "add")
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, c := range []struct {
		args   string // after the study
		status int
		says   []string
	}{
		{"", misused, []string{"--matte NAME"}},
		{"--with left --how add", misused, []string{"--matte NAME"}},
		{"--matte left --how add", misused, []string{"--with OTHER", `"left"`}},
		{"--matte left --with right", misused, []string{"--how", "--remove", "add, touching, take-away, within"}},
		{"--matte left --with right --how add --remove", misused, []string{"--how and --remove"}},
		{"--matte left --with right --how beside", misused, []string{`--how is "beside"`, "want one of add, touching, take-away, within"}},
		{"--matte left --with right --how takeAway", misused, []string{`"takeAway"`, "take-away"}},
		{"--remove --not-exported left", misused, []string{"--matte NAME"}},
		{"--not-exported left --exported LEFT", misused, []string{`"LEFT"`, "--exported", "--not-exported"}},
		{"--matte hair --with right --how add", failed, []string{`"hair"`, `"left", "right", "skin"`}},
		{"--matte left --with hair --how add", failed, []string{`"hair"`, `"left", "right", "skin"`}},
		{"--not-exported hair", failed, []string{`"hair"`, `"left", "right", "skin"`}},
		{"--matte skin --with skin --how add", failed, []string{path, `matte "skin": takes in itself`}},
		{"--matte skin --with left --how within", failed, []string{path, `"left" takes in "right" takes in "skin" takes in "left"`}},
		{"--matte left --with skin --remove", failed, []string{`"left" does not take in "skin"`, `takes in: "right"`}},
		{"--matte skin --with left --remove", failed, []string{`"skin" does not take in "left"`, "takes in: none"}},
	} {
		status, stdout, stderr := run(t, append([]string{"join", path}, strings.Fields(c.args)...)...)
		assert.Equal(t, c.status, status, "%s: %s", c.args, stderr)
		assert.Empty(t, stdout)
		for _, s := range c.says {
			assert.Contains(t, stderr, s, c.args)
		}
		assert.Equal(t, 1, strings.Count(stderr, "\n"), "one line: %s", stderr)
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, before, after, "the study is as it was")
	}
}
