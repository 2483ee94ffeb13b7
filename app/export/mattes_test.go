package export

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of several versions in one folder the newest picture of each frame counts.
func TestMattesOfAFolder(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 4)
	var err error
	j.Pattern, err = ParsePattern("v{version}/{matte}.{frame:6}.png")
	require.NoError(t, err)
	ran(t, j)
	j.Study.Base.Exposure.Set(0, 0.7)
	first := j.Frames[0]
	j.Frames = j.Frames[:1]
	ran(t, j)

	all, err := Mattes(j.Folder)
	require.NoError(t, err)
	require.Len(t, all, len(j.Mattes))
	s := all[0]
	assert.Len(t, s.Frames(), 4)
	assert.Equal(t, "v2", filepath.Base(filepath.Dir(s.Files[first])))
	assert.Equal(t, "v1", filepath.Base(filepath.Dir(s.Files[first+1])))
	for _, path := range s.Files {
		assert.FileExists(t, path)
	}
	assert.Equal(t, j.Study.Clip.SHA256, s.Source)
}

func TestMattesOfBadFolders(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 2)
	_, err := Mattes(j.Folder)
	require.EqualError(t, err, "export: "+filepath.Join(j.Folder, ManifestName)+" lists no mattes, want a folder that an export of mattes has written")
	ran(t, j)
	path := filepath.Join(j.Folder, ManifestName)
	add := func(line string) {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, append(text, line...), 0o666))
	}
	name := j.Mattes[0].Name
	add(`{"name": "else.png", "kind": "matte", "matte": "` + name + `", "frame": 900, "source": "another"}` + "\n")
	_, err = Mattes(j.Folder)
	require.ErrorContains(t, err, `matte "`+name+`" of two clips (else.png is of other footage than the first frame), want a folder of one clip`)
	add(`{"name": "twice.png", "kind": "matte", "matte": "` + name + `", "frame": 900, "source": "another"}` + "\n")
	_, err = Mattes(j.Folder)
	require.ErrorContains(t, err, `lists frame 900 of matte "`+name+`" twice, as else.png and as twice.png`)
}
