package timebar

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/assets"
)

// A frame that cannot be gone to lies in a gap, or beyond the clip.
func TestWhyThereIsNoFrame(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{"a.1.png", "a.2.png", "a.4.png", "a.9.png"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), assets.SamplePNG, 0o600))
	}
	c, err := clip.OpenSequence(folder)
	require.NoError(t, err)
	for n, want := range map[int]string{
		7:  "frames 5-8 are missing, want one of 1-2, 4, 9",
		3:  "frame 3 is missing, want one of 1-2, 4, 9",
		10: "there is no frame 10, want one of 1-2, 4, 9",
		0:  "there is no frame 0, want one of 1-2, 4, 9",
	} {
		assert.EqualError(t, noFrame(c, n), want)
	}
}
