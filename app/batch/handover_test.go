package batch

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What an operator who trusts nothing tries with folders that are handed over, verb by
// verb: each of these once ended with exit status 0, or with no way on.
func TestFoldersThatAreHandedOver(t *testing.T) {
	b := newBeach(t)
	b.sequence(t, span(1, 6)...)
	fit := result[fitReport](t, "fit", b.at("dive"), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	out := b.at("mattes")
	export := []string{"export", fit.Study, "--out", out}
	result[exportReport](t, export...)

	// Half of an export of other settings.
	run(t, "edge", fit.Study, "--matte", "skin", "--soften", "3")
	result[exportReport](t, append(export, "--shard", "0/2")...)
	status, stdout, stderr := run(t, "verify", out)
	assert.Equal(t, failed, status)
	assert.Contains(t, stderr, `3 frames of matte "skin" are of other settings than the newest export (4-6)`)
	assert.Contains(t, stdout, `"stale"`)
	result[exportReport](t, append(export, "--shard", "1/2")...)
	status, _, stderr = run(t, "verify", out)
	require.Zero(t, status, stderr)

	// Lost manifests.
	lost, err := filepath.Glob(filepath.Join(out, "manifest*"))
	require.NoError(t, err)
	for _, path := range lost {
		require.NoError(t, os.Remove(path))
	}
	status, _, stderr = run(t, export...)
	assert.Equal(t, failed, status)
	assert.Contains(t, stderr, "--adopt")
	result[exportReport](t, append(export, "--adopt")...)
	status, _, stderr = run(t, "verify", out)
	require.Zero(t, status, stderr)

	// One retouched file.
	path := filepath.Join(out, "skin", "dive-skin.000004.png")
	require.NoError(t, os.WriteFile(path, []byte("retouched"), 0o666))
	status, _, stderr = run(t, export...)
	assert.Equal(t, failed, status)
	assert.Contains(t, stderr, "--redo")
	result[exportReport](t, append(export, "--redo", "4")...)
	status, _, stderr = run(t, append(export, "--redo", "four")...)
	assert.Equal(t, misused, status)
	assert.Contains(t, stderr, "--redo")

	// A frame of the footage is damaged.
	require.NoError(t, os.Truncate(b.at("dive/dive.0003.png"), 60))
	status, _, stderr = run(t, export...)
	assert.Equal(t, failed, status)
	assert.Contains(t, stderr, "frame 3: ")
	status, stdout, stderr = run(t, append(export, "--skip-bad")...)
	assert.Equal(t, failed, status)
	assert.Contains(t, stderr, "1 frames have no picture, because their footage cannot be read (3)")
	assert.Contains(t, stdout, `"skipped": [`)
	status, _, stderr = run(t, "verify", out)
	assert.Equal(t, failed, status)
	assert.Contains(t, stderr, `1 frames of matte "skin" have no picture`)

	// Another is gone.
	require.NoError(t, os.Remove(b.at("dive/dive.0005.png")))
	status, _, stderr = run(t, append(export, "--skip-bad")...)
	assert.Equal(t, failed, status)
	assert.Contains(t, stderr, "2 frames have no picture, because their footage cannot be read (3, 5)")
	status, _, stderr = run(t, append(export, "--skip-bad", "--frames", "4-9")...)
	assert.Equal(t, failed, status)
	assert.Contains(t, stderr, "lacks 7-9", "it never had those")

	// A manifest that was cut.
	manifest := filepath.Join(out, "manifest.jsonl")
	text, err := os.ReadFile(manifest)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(manifest, text[:len(text)-30], 0o666))
	_, _, stderr = run(t, "verify", out)
	assert.Contains(t, stderr, "the last line of "+filepath.ToSlash(manifest)+" was cut")
}
