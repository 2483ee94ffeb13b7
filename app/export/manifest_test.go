package export

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Two exports may write into one manifest: what one adds while the other tidies it stays.
func TestTidyingLosesNoLineOfAnother(t *testing.T) {
	folder := t.TempDir()
	tidier, err := openManifest(folder, ManifestName)
	require.NoError(t, err)
	other, err := openManifest(folder, ManifestName)
	require.NoError(t, err)
	entry := func(n int) Entry {
		return Entry{Name: fmt.Sprintf("%d.png", n), Kind: Matte, Frame: n, Size: 1, SHA256: fmt.Sprintf("%064d", n)}
	}
	const lines = 400
	added := make(chan error)
	go func() {
		for n := range lines {
			if _, err := other.add(t.Context(), entry(n)); err != nil {
				added <- err
				return
			}
		}
		added <- nil
	}()
	for working := true; working; {
		require.NoError(t, tidier.tidy(t.Context()))
		select {
		case err := <-added:
			require.NoError(t, err)
			working = false
		default:
		}
	}
	now, err := openManifest(folder, ManifestName)
	require.NoError(t, err)
	for n := range lines {
		_, known := now.entry(entry(n).Name)
		require.True(t, known, "line %d of %s is lost", n, filepath.Base(now.path))
	}
	require.Empty(t, now.cut)
}

// A line does not hang on to half a line that another export left when it was killed.
func TestALineAfterHalfALineOfAnother(t *testing.T) {
	folder := t.TempDir()
	m, err := openManifest(folder, ManifestName)
	require.NoError(t, err)
	entry := func(n int) Entry { return Entry{Name: fmt.Sprintf("%d.png", n), Kind: Matte, Frame: n} }
	_, err = m.add(t.Context(), entry(1))
	require.NoError(t, err)
	f, err := os.OpenFile(m.path, os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = f.WriteString(`{"name":"half`)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	_, err = m.add(t.Context(), entry(2))
	require.NoError(t, err)
	now, err := openManifest(folder, ManifestName)
	require.NoError(t, err)
	require.Len(t, now.entries, 2)
	require.Empty(t, now.cut)
}

// Where another folder takes the place of the export's, no manifest is made in it.
func TestNoManifestInAFolderThatTookThePlace(t *testing.T) {
	j, _ := clipJob(t, filepath.Join(t.TempDir(), "mattes"), 1)
	m, err := openManifest(j.Folder, ManifestName)
	require.NoError(t, err)
	f, err := openFolder(j.Folder)
	require.NoError(t, err)
	defer f.close()
	m.root = f.root
	if err := os.Rename(j.Folder, j.Folder+" moved"); err != nil {
		t.Skip("this system moves no folder that is open:", err)
	}
	require.NoError(t, os.Mkdir(j.Folder, 0o777))
	_, err = m.add(t.Context(), Entry{Name: "1.png", Kind: Matte, Frame: 1})
	require.NoError(t, err)
	require.NoFileExists(t, m.path)
	require.FileExists(t, filepath.Join(j.Folder+" moved", ManifestName))
}
