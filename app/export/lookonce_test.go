package export

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// amid runs something once a job has made so many pictures and files beside them.
func amid(j Job, files int, do func()) Job {
	j.Workers = 1
	j.Progress = func(s Progress) {
		if s.Done == files {
			do()
		}
	}
	return j
}

// An export that began first and ends last has not the last word: its frames are of the
// other's plan.
func TestAnExportThatAnotherOvertakes(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 6)
	newer, _ := clipJob(t, j.Folder, 6)
	newer.Study.Base.Exposure.Set(0, 0.7)
	newer.Frames = newer.Frames[2:5]
	_, err := amid(j, 1, func() { ran(t, newer) }).Run(t.Context())
	require.ErrorContains(t, err, "frames 2-4 in "+j.Folder+" are another export's now, of other settings")
	assert.False(t, verified(t, j.Folder).Sound())
	ran(t, newer)
	assert.True(t, verified(t, j.Folder).Sound(), "the way on")
}

// Another export of the same settings is none of that.
func TestAnExportBesideItsTwin(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 6)
	twin, _ := clipJob(t, j.Folder, 6)
	_, err := amid(j, 1, func() { ran(t, twin) }).Run(t.Context())
	require.NoError(t, err)
	assert.True(t, verified(t, j.Folder).Sound())
}

// A file that is changed while the export runs, and is as long as before, is found.
func TestAFileOfTheSameLengthIsFound(t *testing.T) {
	for _, again := range []bool{false, true} { // written, or left by a second run
		j, _ := clipJob(t, t.TempDir(), 4)
		if again {
			ran(t, j)
		}
		path := filepath.Join(j.Folder, "skin", "dive-skin.000001.png")
		_, err := amid(j, 8, func() {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			text[len(text)/2] ^= 1
			require.NoError(t, os.Remove(path)) // another file, whatever steps its time has
			require.NoError(t, os.WriteFile(path, text, 0o666))
		}).Run(t.Context())
		require.ErrorContains(t, err, path+" has sha256 ", "left: %t", again)
		assert.False(t, verified(t, j.Folder).Sound())
	}
}

// A plan that somebody changed is refused, as no later export of its settings would write
// it anew.
func TestAChangedPlanIsRefused(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 4)
	ran(t, j)
	path := filepath.Join(j.Folder, ManifestName)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	changed := strings.Replace(string(text), `"frames":["0`, `"frames":["1`, 1)
	require.NotEqual(t, string(text), changed)
	require.NoError(t, os.WriteFile(path, []byte(changed), 0o666))
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, path+": line 1 is no plan that an export writes: its hash is not that of what it lists: remove that line")
	_, rest, _ := strings.Cut(changed, "\n")
	require.NoError(t, os.WriteFile(path, []byte(rest), 0o666))
	ran(t, j)
	assert.True(t, verified(t, j.Folder).Sound(), "the way on")
}
