package batch

import (
	"encoding/json"
	"image"
	"image/png"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/ink"
	"halocline/colour"
)

func decoded(t *testing.T, path string) image.Image {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	m, err := png.Decode(f)
	require.NoError(t, err)
	return m
}

// Every second frame stands on the sheet, as white on black where the skin is; the hatch and the
// trial show the frame.
func TestContactOfAClip(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 1, 2, 3, 5, 6, 9), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	out := b.at("skin.png")
	status, stdout, stderr := run(t, "contact", fit.Study, "--out", out, "--every", "2", "--progress", "json")
	require.Zero(t, status, stderr)
	var got contactReport
	require.NoError(t, json.Unmarshal([]byte(stdout), &got))
	require.Equal(t, contactReport{fit.Study, "skin", "matte", "1, 3, 6", 3, out}, got)
	require.Equal(t, 3, strings.Count(stderr, `"total":3`))
	require.Contains(t, stderr, `"frame":6`)

	m := decoded(t, out)
	require.Equal(t, image.Rect(0, 0, 16+3*496, 16+360+42+16), m.Bounds())
	light := func(m image.Image, column, x, y int) int { // of a pixel of the source
		c := m.At(16+column*496+3*x, 16+3*y)
		r, _, _, _ := c.RGBA()
		return int(colour.Code8(float32(r) / 65535))
	}
	for column := range 3 {
		require.Greater(t, light(m, column, 80, 75), 200, "skin")
		require.Less(t, light(m, column, 80, 20), 30, "water")
	}
	for _, look := range []string{"hatch", "trial"} {
		result[contactReport](t, "contact", fit.Study, "--out", b.at(look+".png"), "--view", look, "--frames", "1-2", "--every", "1")
		m := decoded(t, b.at(look+".png"))
		require.Equal(t, 16+2*496, m.Bounds().Dx())
		require.NotEqual(t, light(m, 1, 80, 75), 255)
		require.Greater(t, light(m, 1, 80, 75), int(ink.Window.R))
	}

	before, err := os.ReadFile(out)
	require.NoError(t, err)
	status, _, stderr = run(t, "contact", fit.Study, "--out", out)
	require.Equal(t, failed, status)
	require.Contains(t, stderr, out+" exists: give another name, or --overwrite")
	after, err := os.ReadFile(out)
	require.NoError(t, err)
	require.Equal(t, before, after)
	result[contactReport](t, "contact", fit.Study, "--out", out, "--overwrite")
}

func TestContactOfBadInput(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 1, 2), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[fitReport](t, "fit", fit.Study, "--keep", b.drop, "--drop", b.keep, "--name", "sand")
	out := b.at("sheet.png")
	for says, args := range map[string][]string{
		"found no --out OUT.png":                              {fit.Study},
		"--every is 0, want 1 or more":                        {fit.Study, "--out", out, "--every", "0"},
		`--view is "reasons", want matte, hatch or trial`:     {fit.Study, "--out", out, "--view", "reasons"},
		"--matte has no meaning with --view trial":            {fit.Study, "--out", out, "--view", "trial", "--matte", "skin"},
		`the study has "skin", "sand": name one with --matte`: {fit.Study, "--out", out},
		`has no matte "hair", want one of "skin", "sand"`:     {fit.Study, "--out", out, "--matte", "hair"},
		"lacks 7 of --frames, want some of 1-2":               {fit.Study, "--out", out, "--matte", "skin", "--frames", "7"},
		"is a file that the study is made of":                 {fit.Study, "--out", b.at("dive/dive.0002.png"), "--matte", "skin", "--overwrite"},
	} {
		status, stdout, stderr := run(t, append([]string{"contact"}, args...)...)
		require.NotZero(t, status, says)
		require.Empty(t, stdout)
		require.Contains(t, stderr, says)
		require.NoFileExists(t, out)
	}
}
