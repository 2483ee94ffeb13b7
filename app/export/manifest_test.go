package export

import (
	"fmt"
	"halocline/app/study"
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

// Tidying copies no line of a shard's manifest, which an older one of the same bytes would
// outweigh then: what counts before counts after.
func TestTidyingChangesNothingThatCounts(t *testing.T) {
	folder, ctx := t.TempDir(), t.Context()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "1.png"), []byte("now"), 0o666))
	now, err := study.MeasureWhole(ctx, filepath.Join(folder, "1.png"))
	require.NoError(t, err)
	before := Entry{Name: "1.png", Kind: Matte, Frame: 1, Size: now.Size, SHA256: fmt.Sprintf("%064d", 1), Settings: "first"}
	whole, err := openManifest(folder, ManifestName)
	require.NoError(t, err)
	_, err = whole.add(ctx, before)
	require.NoError(t, err)
	part, err := openManifest(folder, Shard{1, 2}.ManifestName())
	require.NoError(t, err)
	for _, settings := range []string{"second", "third"} { // of the same bytes
		e := before
		e.SHA256, e.Settings = now.SHA256, settings
		_, err = part.add(ctx, e)
		require.NoError(t, err)
	}
	whole, err = openManifest(folder, ManifestName)
	require.NoError(t, err)
	require.NoError(t, whole.tidy(ctx))
	whole, err = openManifest(folder, ManifestName)
	require.NoError(t, err)
	e, _ := whole.entry("1.png")
	require.Equal(t, "third", e.Settings)
}
