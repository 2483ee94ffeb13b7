package batch

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/clip"
)

const leftHalf = "0,0 80,0 80,120 0,120"

func TestMaskAndEdgeShapeTheMatte(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	made := result[maskResult](t, "mask", fit.Study, "--matte", "SKIN", "--points", leftHalf, "--feather", "2,3", "--name", "left")
	require.Equal(t, "skin", made.Matte)
	require.Equal(t, []maskReport{{Name: "left", Kind: "keep", Keys: []keyReport{{
		Frame: 7, Points: [][2]float64{{0, 0}, {80, 0}, {80, 120}, {0, 120}}, Inner: 2, Outer: 3, Opacity: 1,
	}}}}, made.Masks)

	made = result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", "20,60 40,60 40,75 20,75", "--drop", "--rounded", "--name", "hole")
	require.Len(t, made.Masks, 2)
	require.Equal(t, "drop", made.Masks[1].Kind)
	require.True(t, made.Masks[1].Rounded)
	made = result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", "0,0 60,0 60,120 0,120", "--name", "Left", "--frame", "7")
	require.Len(t, made.Masks, 2, "a name that is there changes that mask")
	require.Equal(t, [2]float64{60, 0}, made.Masks[0].Keys[0].Points[1])
	require.Equal(t, 3.0, made.Masks[0].Keys[0].Outer, "what is not given stays")

	edge := result[edgeResult](t, "edge", fit.Study, "--matte", "skin", "--harden", "0.4", "--harden-about", "0.6", "--soften", "1.2")
	require.Equal(t, edgeReport{"despeckle": 12, "align": 0, "harden": 0.4, "hardenAbout": 0.6, "grow": 0, "soften": 1.2, "settle": 0}, edge.Edge)
	edge = result[edgeResult](t, "edge", fit.Study, "--matte", "skin", "--grow", "-1", "--despeckle", "0", "--harden", "0", "--align", "3")
	require.Equal(t, edgeReport{"despeckle": 0, "align": 3, "harden": 0, "hardenAbout": 0.6, "grow": -1, "soften": 1.2, "settle": 0}, edge.Edge)

	kinds := map[string]string{}
	for _, kind := range []string{"matte", "pick", "mask", "cutout", "hatch", "reasons", "base"} {
		out := result[exportReport](t, "export", fit.Study, "--out", b.at("out"), "--kind", kind)
		kinds[kind] = filepath.Join(b.at("out"), out.Files[0].Name)
	}
	matte, _, err := clip.ReadGrey(t.Context(), kinds["matte"])
	require.NoError(t, err)
	require.Zero(t, matte.At(110, 75), "beyond the mask")
	require.Zero(t, matte.At(30, 67), "in the drop mask")
	require.InDelta(t, 0.9, matte.At(50, 80), 0.01, "about 0.6, 1 becomes 0.9")
	pick, _, err := clip.ReadGrey(t.Context(), kinds["pick"])
	require.NoError(t, err)
	require.Greater(t, pick.At(110, 75), float32(0.5))
	verified := result[verifyReport](t, "verify", b.at("out"))
	require.Equal(t, len(kinds), verified.Good)
}

func TestMaskAndEdgeRefuse(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", leftHalf, "--name", "left")
	before, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	for _, c := range []struct {
		name   string
		args   []string // after the study
		status int
		says   []string
	}{
		{"mask", []string{"--points", leftHalf}, misused, []string{"--matte"}},
		{"mask", []string{"--matte", "skin"}, misused, []string{"--points"}},
		{"mask", []string{"--matte", "skin", "--points", "1,2 3,4"}, misused, []string{"2 points", "three"}},
		{"mask", []string{"--matte", "skin", "--points", "1,2 3,4 5"}, misused, []string{"point 3", `"5"`, "X,Y"}},
		{"mask", []string{"--matte", "skin", "--points", "1,2 3,NaN 5,6"}, misused, []string{"point 2", `"NaN"`}},
		{"mask", []string{"--matte", "skin", "--points", leftHalf, "--feather", "3"}, misused, []string{"IN,OUT"}},
		{"mask", []string{"--matte", "hair", "--points", leftHalf}, failed, []string{`"hair"`, `"skin"`}},
		{"mask", []string{"--matte", "skin", "--points", leftHalf, "--frame", "9"}, failed, []string{"9", "7 to 7"}},
		{"mask", []string{"--matte", "skin", "--points", leftHalf, "--feather", "-1,2"}, failed, []string{`mask "left"`, "inner is -1"}},
		{"mask", []string{"--matte", "skin", "--points", "0,0 9e9,0 3,3 0,5"}, failed, []string{"point 2", "coordinates"}},
		{"edge", []string{"--soften", "1"}, misused, []string{"--matte"}},
		{"edge", []string{"--matte", "hair"}, failed, []string{`"hair"`, `"skin"`}},
		{"edge", []string{"--matte", "skin", "--soften", "NaN"}, failed, []string{"edge: soften is NaN", "0 to 500"}},
		{"edge", []string{"--matte", "skin", "--grow", "501"}, failed, []string{"edge: grow is 501", "-500 to 500"}},
		{"edge", []string{"--matte", "skin", "--harden-about", "2"}, failed, []string{"is 2", "0 to 1"}},
		{"edge", []string{"--matte", "skin", "--harden", "hard"}, misused, []string{`"hard"`}},
		{"edge", []string{"--matte", "skin", "--align", "wide"}, misused, []string{`"wide"`}},
	} {
		status, stdout, stderr := run(t, append([]string{c.name, fit.Study}, c.args...)...)
		require.Equal(t, c.status, status, "%v: %s", c.args, stderr)
		require.Empty(t, stdout)
		for _, s := range c.says {
			require.Contains(t, stderr, s)
		}
		require.Equal(t, 1, strings.Count(stderr, "\n"), "one line: %s", stderr)
		after, err := os.ReadFile(fit.Study)
		require.NoError(t, err)
		require.Equal(t, before, after, "the study is as it was")
	}
	status, _, stderr := run(t, "mask", b.picture, "--matte", "skin", "--points", leftHalf)
	require.Equal(t, failed, status)
	require.Contains(t, stderr, "dive.0007.png")
}
