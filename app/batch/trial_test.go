package batch

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/cdl"
	"halocline/app/check/seam"
	"halocline/app/study"
	"halocline/colour"
)

func TestTrialIsSetAndTold(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	before, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	told := result[trialResult](t, "trial", fit.Study, "--matte", "Skin")
	require.Equal(t, trialReport{
		Slope: [3]float64{1, 1, 1}, Power: [3]float64{1, 1, 1}, Saturation: 1,
		Controls: controlsReport{Contrast: 1, Pivot: colour.MiddlePivot},
	}, told.Trial)
	after, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	require.Equal(t, before, after, "telling writes nothing")

	set := result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--slope", "1.1,1,0.9", "--offset", "0.01", "--saturation", "1.2")
	require.Equal(t, [3]float64{1.1, 1, 0.9}, set.Trial.Slope)
	require.Equal(t, [3]float64{0.01, 0.01, 0.01}, set.Trial.Offset)
	require.True(t, set.Trial.Controls.LeftOver)
	require.Nil(t, told.Noise)
	require.NotNil(t, set.Noise)
	require.InDelta(t, 0.01, set.Noise.Before[1], 0.002, "the picture has noise of 0.01")
	require.Positive(t, set.Noise.Decibels, "more saturation lifts it")
	require.Empty(t, told.Verdict)
	require.NotEmpty(t, set.Verdict)
	require.NotNil(t, set.Seam)
	require.NotNil(t, set.Coverage)

	turned := result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--lightness", "0.2", "--contrast", "1.25", "--pivot", "0.5")
	require.InDelta(t, 0.2, turned.Trial.Controls.Lightness, 1e-12)
	require.InDelta(t, 1.25, turned.Trial.Controls.Contrast, 1e-12)
	require.InDelta(t, set.Trial.Controls.BlueOrange, turned.Trial.Controls.BlueOrange, 1e-9)
	require.Equal(t, set.Trial.Offset, turned.Trial.Offset, "what is not given stays")
	require.Equal(t, 1.2, turned.Trial.Saturation)

	off := result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--off")
	require.True(t, off.Trial.Off)
	require.Equal(t, turned.Trial.Slope, off.Trial.Slope)
	require.False(t, result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--on").Trial.Off)
	anew := result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--neutral", "--blue-orange", "0.3")
	require.InDelta(t, 0.3, anew.Trial.Controls.BlueOrange, 1e-12)
	require.Zero(t, anew.Trial.Offset)
	require.False(t, anew.Trial.Controls.LeftOver)
}

func TestTrialTravelsBetweenKeys(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 1, 2, 3), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--slope", "1", "--key")
	result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--slope", "2", "--frame", "3")
	result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--saturation", "0.5", "--frame", "3")
	told := result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--frame", "2")
	require.Equal(t, [3]float64{1.5, 1.5, 1.5}, told.Trial.Slope)
	require.Equal(t, 0.5, told.Trial.Saturation)
	s, err := study.Load(fit.Study)
	require.NoError(t, err)
	require.Len(t, s.Mattes[0].Trial.Slope[2].Keys, 2)
	require.False(t, s.Mattes[0].Trial.Power[0].Keyed())
	require.False(t, s.Mattes[0].Trial.Saturation.Keyed())
}

func TestCDL(t *testing.T) {
	samples := filepath.Join("..", "cdl", "testdata")
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[fitReport](t, "fit", fit.Study, "--keep", b.drop, "--drop", b.keep, "--name", "sand")
	read := result[cdlResult](t, "cdl", fit.Study, "--matte", "skin", "--file", filepath.Join(samples, "cdl_test1.cdl"), "--id", "cc0002")
	require.Len(t, read.Cdls, 1)
	require.Equal(t, [3]float64{0.9, 0.7, 0.6}, read.Cdls[0].Trial.Slope)
	require.Equal(t, 0.7, result[trialResult](t, "trial", fit.Study, "--matte", "skin").Trial.Saturation, "it is in the study")

	file := b.at("beach.ccc")
	wrote := result[cdlResult](t, "cdl", fit.Study, "--file", file, "--write")
	require.Len(t, wrote.Cdls, 2)
	require.Equal(t, "sand", wrote.Cdls[1].ID)
	back := result[cdlResult](t, "cdl", fit.Study, "--matte", "sand", "--file", file, "--id", "skin")
	require.Equal(t, read.Cdls[0].Trial, back.Cdls[0].Trial)
	one := b.at("one.cc")
	result[cdlResult](t, "cdl", fit.Study, "--matte", "sand", "--file", one, "--write", "--id", "bed")
	all, err := cdl.Read(one)
	require.NoError(t, err)
	require.Len(t, all, 1)
	require.Equal(t, "bed", all[0].ID)

	result[trialResult](t, "trial", fit.Study, "--matte", "sand", "--off")
	status, _, said := run(t, "cdl", fit.Study, "--matte", "sand", "--file", one)
	require.Zero(t, status)
	require.Contains(t, said, `the trial of "sand" is off`)
}

func TestTrialAndCDLRefuse(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	many := filepath.Join("..", "cdl", "testdata", "cdl_test1.ccc")
	far := b.at("far.cc")
	grade := colour.NeutralCDL()
	grade.Power[1] = 100
	require.NoError(t, cdl.Write(far, []cdl.Correction{{ID: "far", CDL: grade}}))
	before, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	for _, c := range []struct {
		name   string
		args   []string // after the study
		status int
		says   []string
	}{
		{"trial", []string{"--slope", "1"}, misused, []string{"--matte"}},
		{"trial", []string{"--matte", "hair"}, failed, []string{`"hair"`, `"skin"`}},
		{"trial", []string{"--matte", "skin", "--on", "--off"}, misused, []string{"--off and --on"}},
		{"trial", []string{"--matte", "skin", "--slope", "1,2"}, misused, []string{"R,G,B"}},
		{"trial", []string{"--matte", "skin", "--slope", "1,-2,1"}, misused, []string{"slope of green is -2", "0 or more"}},
		{"trial", []string{"--matte", "skin", "--power", "0"}, misused, []string{"power of red is 0", "over 0"}},
		{"trial", []string{"--matte", "skin", "--contrast", "0"}, misused, []string{"contrast is 0"}},
		{"trial", []string{"--matte", "skin", "--contrast", "1.2", "--pivot", "0"}, misused, []string{"--pivot is 0"}},
		{"trial", []string{"--matte", "skin", "--slope", "100"}, failed, []string{"slope red is 100", "0 to 64"}},
		{"trial", []string{"--matte", "skin", "--lightness", "NaN"}, misused, []string{"slope of red is NaN"}},
		{"trial", []string{"--matte", "skin", "--frame", "9", "--slope", "1"}, failed, []string{"no frame 9"}},
		{"cdl", []string{"--matte", "skin"}, misused, []string{"--file"}},
		{"cdl", []string{"--file", many}, misused, []string{"--matte"}},
		{"cdl", []string{"--matte", "skin", "--file", many}, failed, []string{"holds 5 corrections", `1 ("cc0001")`}},
		{"cdl", []string{"--matte", "skin", "--file", many, "--id", "x"}, failed, []string{`no correction "x"`, `2 ("cc0002")`}},
		{"cdl", []string{"--matte", "skin", "--file", b.picture}, failed, []string{"dive.0007.png", "not sound XML"}},
		{"cdl", []string{"--matte", "skin", "--file", b.at("none.cc")}, failed, []string{"none.cc"}},
		{"cdl", []string{"--matte", "skin", "--file", far}, failed, []string{"far.cc", `"far"`, "power green is 100"}},
		{"cdl", []string{"--matte", "skin", "--file", far, "--write"}, failed, []string{"far.cc exists", "--overwrite"}},
		{"cdl", []string{"--matte", "skin", "--file", b.at("a.xml"), "--write"}, failed, []string{`".xml"`, ".ccc"}},
		{"cdl", []string{"--matte", "skin", "--file", far, "--overwrite"}, misused, []string{"--write"}},
		{"cdl", []string{"--file", far, "--write", "--id", "a"}, misused, []string{"--id"}},
		{"cdl", []string{"--matte", "skin", "--file", far, "--write", "--key"}, misused, []string{"--key"}},
		{"export", []string{"--out", b.at("out"), "--kind", "trial", "--matte", "skin"}, misused, []string{"--matte", "--off"}},
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
	all, err := cdl.Read(far)
	require.NoError(t, err)
	require.Equal(t, "far", all[0].ID, "and so is the file")
}

// A matte that is grown over the sand grades it: trial and check say so.
func TestAGradeThatSpillsIsTold(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	told := result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--slope", "1.2,1.05,0.9")
	require.NotContains(t, told.Verdict, "looks dropped")
	_, _, notices := run(t, "check", fit.Study)
	require.NotContains(t, notices, "whole regions")

	status, _, problem := run(t, "edge", fit.Study, "--matte", "skin", "--grow", "12")
	require.Zero(t, status, problem)
	told = result[trialResult](t, "trial", fit.Study, "--matte", "skin")
	// 120 x 30 pixels of skin, and 144 x 54 with what is about it: 53 % of that area is sand.
	require.Regexp(t, `^5\d % of the grade lies on what looks dropped.$`, told.Verdict)
	require.NotNil(t, told.Coverage.SpilledAt)
	checked := result[struct {
		Mattes []struct {
			Frames []struct {
				Verdict  string        `json:"verdict"`
				Coverage seam.Coverage `json:"coverage"`
			} `json:"frames"`
		} `json:"mattes"`
	}](t, "check", fit.Study).Mattes[0].Frames[0]
	require.Equal(t, told.Verdict, checked.Verdict)
	require.InDelta(t, told.Coverage.Spilled, checked.Coverage.Spilled, 1e-9)
	_, _, notices = run(t, "check", fit.Study)
	require.Contains(t, notices, `matte "skin", its trial: on 1 frame the grade is off by whole regions, most on frame 7: `+told.Verdict)
}
