package staging

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/colour"
)

// look writes a frame with the borders of the mask in red and of the truth in green, where
// HALOCLINE_LOOK names a folder for such pictures.
func (r *trial) look(t *testing.T, w maskWay, keys []int, frame int, name string) {
	t.Helper()
	folder := os.Getenv("HALOCLINE_LOOK")
	if folder == "" {
		return
	}
	s, set := r.study(t, w, keys)
	m, err := r.renderer.Mask(t.Context(), render.Request{Study: s, Settings: set, Frame: frame})
	require.NoError(t, err)
	picture := r.strip.frames[frame-1].RGBA(nil)
	mark(picture, r.strip.truth(frame), color.RGBA{0, 255, 0, 255})
	mark(picture, m, color.RGBA{255, 0, 0, 255})
	file, err := os.Create(filepath.Join(folder, fmt.Sprintf("%s-%d.png", name, frame)))
	require.NoError(t, err)
	require.NoError(t, png.Encode(file, picture))
	require.NoError(t, file.Close())
}

// mark colours the pixels of a matte that lie beside one on the other side of one half.
func mark(on *image.RGBA, matte colour.Plane, c color.RGBA) {
	for y := 1; y < matte.H-1; y++ {
		for x := 1; x < matte.W-1; x++ {
			if matte.At(x, y) > 0.5 && min(matte.At(x-1, y), matte.At(x+1, y), matte.At(x, y-1), matte.At(x, y+1)) <= 0.5 {
				on.SetRGBA(x, y, c)
			}
		}
	}
}
