package export

import (
	"fmt"
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
		var first error
		for n := range lines {
			if _, err := other.add(t.Context(), entry(n)); err != nil && first == nil {
				first = err
			}
		}
		added <- first
	}()
	for tidied := 0; ; tidied++ {
		require.NoError(t, tidier.tidy(t.Context()))
		select {
		case err := <-added:
			require.NoError(t, err)
			require.Positive(t, tidied)
			now, err := openManifest(folder, ManifestName)
			require.NoError(t, err)
			for n := range lines {
				_, known := now.entry(entry(n).Name)
				require.True(t, known, "line %d of %s is lost", n, filepath.Base(now.path))
			}
			require.Empty(t, now.cut)
			return
		default:
		}
	}
}
