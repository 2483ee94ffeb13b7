package batch

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/export"
)

// lostOn are calls that leave a mask's search nothing to find on two of three frames.
func lostOn(t *testing.T, b beach) (study string) {
	fit := result[fitReport](t, "fit", b.sequence(t, 7, 8, 9), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", lazily, "--search", "16", "--name", "limb")
	for _, frame := range []string{"8", "9"} {
		result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--drop-dab", "80,75,200", "--frame", frame)
	}
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", "900,900 950,900 950,950", "--search", "16", "--name", "off the frame")
	return fit.Study
}

const lostSaid = `mask "limb" of matte "skin": no edge was found on frames 8-9: the drawn outline was used`

func TestEdgesThatAreNotFoundAreTold(t *testing.T) {
	b := newBeach(t)
	study := lostOn(t, b)
	for _, call := range [][]string{
		{"check", study},
		{"check", study, "--workers", "1"},
		{"export", study, "--out", b.at("a"), "--workers", "1"},
		{"export", study, "--out", b.at("b"), "--workers", "2", "--kind", "mask"},
	} {
		status, _, stderr := run(t, call...)
		require.Zero(t, status, stderr)
		require.Equal(t, 1, strings.Count(stderr, lostSaid), "%v: %s", call, stderr)
		require.NotContains(t, stderr, "off the frame", "no edge is missed there")
	}
	_, _, stderr := run(t, "export", study, "--out", b.at("c"), "--kind", "pick")
	require.NotContains(t, stderr, "no edge", "a pick has no masks")
	_, _, stderr = run(t, "export", study, "--out", b.at("d"), "--frames", "7")
	require.NotContains(t, stderr, "no edge")
}

func TestVerifyTellsProcessorsApart(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 7, 8), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	plain := b.at("plain")
	result[exportReport](t, "export", fit.Study, "--out", plain)
	require.NotContains(t, read(t, filepath.Join(plain, export.ManifestName)), "processor", "bytes are the same on all")

	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", lazily, "--search", "16")
	out := b.at("out")
	result[exportReport](t, "export", fit.Study, "--out", out)
	status, _, stderr := run(t, "verify", out)
	require.Zero(t, status, stderr)
	require.Empty(t, stderr)

	manifest := filepath.Join(out, export.ManifestName)
	text, made := read(t, manifest), `"processor":"`+runtime.GOARCH+`"`
	require.Equal(t, 2, strings.Count(text, made))
	require.NoError(t, os.WriteFile(manifest, []byte(strings.Replace(text, made, `"processor":"other"`, 1)), 0o666))
	status, _, stderr = run(t, "verify", out)
	require.Zero(t, status, stderr)
	require.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
	require.Contains(t, stderr, runtime.GOARCH)
	require.Contains(t, stderr, "other")
	require.Contains(t, stderr, "single pixels")

	result[exportReport](t, "export", fit.Study, "--out", out)
	require.Equal(t, 1, strings.Count(read(t, manifest), `"processor":"other"`), "a picture that is left stays as it was made")
	_, _, stderr = run(t, "verify", out)
	require.Contains(t, stderr, "other")

	require.NoError(t, os.WriteFile(manifest, []byte(strings.ReplaceAll(text, ","+made, "")), 0o666))
	status, _, stderr = run(t, "verify", out)
	require.Zero(t, status, "a manifest from before: %s", stderr)
	require.Empty(t, stderr)
}
