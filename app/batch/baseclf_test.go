package batch

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clf"
	"halocline/app/clip"
	"halocline/colour"
)

// The list that is handed on makes of the clip's pictures what export writes as base, to
// the code value of 16 bits and the difference that it tells.
func TestListMakesTheExportedBase(t *testing.T) {
	b := newBeach(t)
	made := result[baseResult](t, "base", b.picture, "--grey", "80,110,6", "--water", "80,20,10", "--type", "IB", "--path", "2.5", "--contrast", "1.2", "--exposure", "0.5")
	out := b.at("dive-base.clf")
	wrote := result[clfResult](t, "base", made.Study, "--clf", out)
	require.Len(t, wrote.Files, 1)
	assert.Equal(t, out, wrote.Files[0].File)
	assert.Equal(t, "7", wrote.Files[0].Frames)
	assert.False(t, wrote.Files[0].Neutral)
	assert.Nil(t, wrote.Files[0].AtJump)
	assert.Empty(t, wrote.Notes)
	assert.Less(t, wrote.Files[0].Off.Bits10, 0.11)
	assert.InEpsilon(t, wrote.Files[0].Off.Bits8*1023/255, wrote.Files[0].Off.Bits10, 1e-9)

	l, err := clf.Read(out)
	require.NoError(t, err)
	assert.Equal(t, "base of dive, frame 7", l.Name)
	assert.Contains(t, l.Notes[1], "Largest difference from Halocline's own base: 0.")
	exported := result[exportReport](t, "export", made.Study, "--out", b.at("base"), "--kind", "base")
	want, _, err := clip.Read(t.Context(), filepath.Join(b.at("base"), exported.Files[0].Name))
	require.NoError(t, err)
	src, _, err := clip.Read(t.Context(), b.picture)
	require.NoError(t, err)
	most := 0.
	for i := range src.R.Pix {
		got := l.Colour(colour.RGB{R: float64(src.R.Pix[i]), G: float64(src.G.Pix[i]), B: float64(src.B.Pix[i])})
		most = max(most, math.Abs(got.R-float64(want.R.Pix[i])), math.Abs(got.G-float64(want.G.Pix[i])), math.Abs(got.B-float64(want.B.Pix[i])))
	}
	assert.LessOrEqual(t, most, wrote.Files[0].Off.Bits10/1023+0.51/65535)
	assert.NotEqual(t, src.R.Pix, want.R.Pix)
}

// A base over time has a file for each run of frames that share one, named by its first.
func TestListsOverTime(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 1, 2, 3, 4, 5, 6), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[baseResult](t, "base", fit.Study, "--exposure", "1", "--frame", "3", "--key")
	result[baseResult](t, "base", fit.Study, "--exposure", "0", "--frame", "5")
	out := b.at("base.clf")
	wrote := result[clfResult](t, "base", fit.Study, "--clf", out)
	var said [][2]string
	for _, f := range wrote.Files {
		said = append(said, [2]string{filepath.Base(f.File), f.Frames})
		assert.FileExists(t, f.File)
		assert.Equal(t, f.Frames == "5-6", f.Neutral)
	}
	assert.Equal(t, [][2]string{{"base.000001.clf", "1-3"}, {"base.000004.clf", "4"}, {"base.000005.clf", "5-6"}}, said)
	assert.NoFileExists(t, out)
	assert.Equal(t, []string{"base of frames 5-6 is neutral: " + b.at("base.000005.clf") + " changes nothing"}, wrote.Notes)
	l, err := clf.Read(b.at("base.000005.clf"))
	require.NoError(t, err)
	assert.Equal(t, colour.RGB{R: 0.25, G: -1, B: 2.5}, l.Colour(colour.RGB{R: 0.25, G: -1, B: 2.5}))

	one := result[clfResult](t, "base", fit.Study, "--clf", b.at("one.clf"), "--frame", "4")
	assert.Equal(t, "4", one.Files[0].Frames)
	some := result[clfResult](t, "base", fit.Study, "--clf", b.at("some.clf"), "--frames", "1,3")
	require.Len(t, some.Files, 1)
	assert.Equal(t, "1,3", some.Files[0].Frames)
}

func TestListsAreNotReplaced(t *testing.T) {
	b := newBeach(t)
	made := result[baseResult](t, "base", b.picture, "--exposure", "0.5")
	out := b.at("base.clf")
	result[clfResult](t, "base", made.Study, "--clf", out)
	before, err := os.ReadFile(out)
	require.NoError(t, err)
	again := result[clfResult](t, "base", made.Study, "--clf", out)
	assert.True(t, again.Files[0].Left)

	result[baseResult](t, "base", made.Study, "--exposure", "0.7")
	status, _, said := run(t, "base", made.Study, "--clf", out)
	assert.Equal(t, 1, status)
	assert.Contains(t, said, out+" exists with other bytes: give another name, or --overwrite")
	after, err := os.ReadFile(out)
	require.NoError(t, err)
	assert.Equal(t, before, after)
	replaced := result[clfResult](t, "base", made.Study, "--clf", out, "--overwrite")
	assert.False(t, replaced.Files[0].Left)
	_, err = clf.Read(out)
	require.NoError(t, err)

	require.NoError(t, os.Mkdir(b.at("folder.clf"), 0o777))
	status, _, said = run(t, "base", made.Study, "--clf", b.at("folder.clf"))
	assert.Equal(t, 1, status)
	assert.Contains(t, said, "is a folder")
}

// A BT.709 source's own jump is told apart from the rest.
func TestListOfABT709Source(t *testing.T) {
	b := newBeach(t)
	made := result[baseResult](t, "base", b.picture, "--input", "bt709", "--exposure", "0.5")
	wrote := result[clfResult](t, "base", made.Study, "--clf", b.at("base.clf"))
	require.NotNil(t, wrote.Files[0].AtJump)
	assert.Less(t, wrote.Files[0].Off.Bits10, 0.05)
	assert.Greater(t, wrote.Files[0].AtJump.Bits10, 0.05)
}

func TestCallsOfCLFThatAreWrong(t *testing.T) {
	b := newBeach(t)
	made := result[baseResult](t, "base", b.picture, "--exposure", "0.5")
	out := b.at("base.clf")
	for want, args := range map[string][]string{
		"--frames has no meaning without --clf":         {"--frames", "1"},
		"--overwrite has no meaning without --clf":      {"--overwrite"},
		"--key has no meaning with --clf":               {"--clf", out, "--key"},
		"--clf writes base as it stands: set it first":  {"--clf", out, "--exposure", "1"},
		`base.xml", want a name that ends in .clf`:      {"--clf", b.at("base.xml")},
		`--clf is "", want a name that ends in .clf`:    {"--clf", ""},
		"--frame and --frames are both given, want one": {"--clf", out, "--frame", "7", "--frames", "7"},
	} {
		status, _, said := run(t, append([]string{"base", made.Study}, args...)...)
		assert.Equal(t, 2, status, want)
		assert.Contains(t, said, want)
	}
	status, _, said := run(t, "base", made.Study, "--clf", out, "--frames", "9")
	assert.Equal(t, 1, status)
	assert.Contains(t, said, "lacks 9 of --frames, want some of 7")
	assert.NoFileExists(t, out)
}
