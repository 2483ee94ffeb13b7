package work

import (
	"context"
	"image"
	"image/color"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/selection"
)

// picture writes a small PNG file of one colour with a few grains, and returns
// its path.
func picture(t *testing.T, folder, name string, shade uint8) string {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, 32, 24))
	for i := range 32 * 24 {
		grain := uint8(i * i % 7)
		m.SetNRGBA(i%32, i/32, color.NRGBA{shade + grain, shade, 90, 255})
	}
	return writePNG(t, filepath.Join(folder, name), m)
}

func writePNG(t *testing.T, path string, m image.Image) string {
	t.Helper()
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, m))
	require.NoError(t, f.Close())
	return path
}

func TestAPictureGetsANewStudy(t *testing.T) {
	path := picture(t, t.TempDir(), "dive.0041.png", 100)
	w, err := Open(t.Context(), path)
	require.NoError(t, err)
	assert.Empty(t, w.Path)
	assert.Empty(t, w.Study.Mattes)
	assert.Equal(t, path, w.Study.Clip.Path)
	assert.Equal(t, 41, w.Study.Clip.First)
	assert.Equal(t, 1, w.Study.Clip.Count)
	want, err := study.Measure(t.Context(), path)
	require.NoError(t, err)
	assert.Equal(t, want, w.Study.Clip.Footage)
	assert.Greater(t, w.Study.Clip.Noise[0], 0.001, "there are grains in red")
	assert.Zero(t, w.Study.Clip.Noise[2], "and none in blue")
	require.NoError(t, w.Study.Validate())
	shown, err := w.Renderer.Shown(t.Context(), render.Request{Study: w.Study, Frame: 41})
	require.NoError(t, err)
	width, height := shown.Size()
	assert.Equal(t, []int{32, 24}, []int{width, height})
}

// A path within the working folder is kept whole, so that the study may be saved
// anywhere.
func TestFootageIsAbsolute(t *testing.T) {
	folder := t.TempDir()
	picture(t, folder, "dive.png", 100)
	t.Chdir(folder)
	w, err := Open(t.Context(), "dive.png")
	require.NoError(t, err)
	assert.True(t, filepath.IsAbs(w.Study.Clip.Path), w.Study.Clip.Path)
}

func TestAStudyIsOpenedWithItsFootage(t *testing.T) {
	folder := t.TempDir()
	w, err := OpenPicture(t.Context(), picture(t, folder, "dive.0041.png", 100))
	require.NoError(t, err)
	w.Study.AddMatte("skin", selection.LCh)
	path := filepath.Join(folder, "DIVE.HALOCLINE")
	require.NoError(t, study.Save(path, w.Study))

	again, err := Open(t.Context(), path)
	require.NoError(t, err)
	assert.Equal(t, path, again.Path)
	assert.Equal(t, w.Study, again.Study)
	assert.Equal(t, 41, again.Clip.First())

	recovered, err := FromStudy(t.Context(), again.Study, "")
	require.NoError(t, err)
	assert.Empty(t, recovered.Path)
	assert.Same(t, again.Study, recovered.Study)
}

func TestNoticesNameTheFile(t *testing.T) {
	cmyk := filepath.Join("..", "clip", "testdata", "video-001.cmyk.jpeg")
	w, err := Open(t.Context(), cmyk)
	require.NoError(t, err)
	require.NotEmpty(t, w.Clip.Info().Notices, "%s is CMYK, which must be said", cmyk)
	assert.Equal(t, "video-001.cmyk.jpeg: "+w.Clip.Info().Notices[0], w.Notices[0])
}

func TestFootageThatIsNotTheStudys(t *testing.T) {
	folder := t.TempDir()
	w, err := OpenPicture(t.Context(), picture(t, folder, "dive.0041.png", 100))
	require.NoError(t, err)
	path := filepath.Join(folder, "dive.halocline")
	require.NoError(t, study.Save(path, w.Study))

	picture(t, folder, "dive.0041.png", 120)
	var wrong *study.FootageError
	_, err = Open(t.Context(), path)
	require.ErrorAs(t, err, &wrong, "another picture of that name")
	require.NoError(t, os.Remove(w.Study.Clip.Path))
	_, err = Open(t.Context(), path)
	require.ErrorAs(t, err, &wrong)
	require.ErrorIs(t, err, fs.ErrNotExist)

	moved := w.Study.Clone()
	moved.Clip.Path = picture(t, folder, "dive.0007.png", 100)
	_, err = FromStudy(t.Context(), moved, path)
	require.EqualError(t, err, "work: the footage has one frame, 7, want one frame, 41 as in the study: "+moved.Clip.Path)
	moved.Clip.First, moved.Clip.Count = 7, 3
	lost, err := FromStudy(t.Context(), moved, path) // two of a sequence's three are lost
	require.NoError(t, err)
	require.Contains(t, lost.Notices, "dive.0007.png: It has one frame, 7 now; the study was made of 3 frames from 7.")
}

func TestWhatCannotBeOpened(t *testing.T) {
	folder := t.TempDir()
	text := filepath.Join(folder, "notes.halocline")
	require.NoError(t, os.WriteFile(text, []byte("seagrass, 3 m"), 0o666))
	for _, path := range []string{text, filepath.Join(folder, "gone.halocline"), filepath.Join(folder, "gone.png"), folder} {
		w, err := Open(t.Context(), path)
		require.ErrorContains(t, err, path)
		assert.Nil(t, w)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Open(ctx, picture(t, folder, "dive.png", 100))
	require.ErrorIs(t, err, context.Canceled)
}
