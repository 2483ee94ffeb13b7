package clip

import (
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFrameNumbers(t *testing.T) {
	for name, want := range map[string]int{
		"000001.png": 1, "shot.0041.png": 41, "dive-7.tif": 7, "still.png": 0, "a2b.png": 0, "12": 12, "x.y.0100.jpeg": 100,
		"scan123456789.png": 123456789, "scan1234567890.png": 0, ".png": 0, "0.png": 0,
	} {
		assert.Equal(t, want, frameNumber(filepath.Join("a", "b99", name)), name)
	}
}

func TestAStillIsAClip(t *testing.T) {
	path := saved(t, "transect.0012.png", asPNG(noisyRGBA64(30, 20)))
	c, err := Open(path)
	require.NoError(t, err)
	assert.Equal(t, path, c.Path(12))
	assert.Empty(t, c.Path(0))
	assert.False(t, c.IsSequence())
	assert.Equal(t, 12, c.First())
	assert.Equal(t, 1, c.Count())
	assert.Equal(t, 30, c.Info().Width)
	m, err := c.Frame(background, 12)
	require.NoError(t, err)
	requireSame(t, plainPlanes(noisyRGBA64(30, 20)), m, "frame")
	again, err := c.Frame(background, 12)
	require.NoError(t, err)
	again.R.Pix[0]++
	assert.NotEqual(t, again.R.Pix[0], m.R.Pix[0], "each call has a picture of its own")

	_, err = c.Frame(background, 0)
	require.ErrorIs(t, err, ErrNoFrame)
	assert.ErrorContains(t, err, "frame 0 asked of a still, want its only frame, 12")

	require.NoError(t, os.WriteFile(path, asPNG(image.NewGray(image.Rect(0, 0, 5, 5))), 0o600))
	_, err = c.Frame(background, 12)
	assert.ErrorContains(t, err, "it changed to 5 x 5 pixels since it was opened, want 30 x 20")
	require.NoError(t, os.Remove(path))
	_, err = c.Frame(background, 12)
	assert.ErrorIs(t, err, ErrMissing)
}
