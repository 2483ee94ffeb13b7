package work

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
)

// movie makes a short movie of moving noise.
func movie(t *testing.T, folder, name string) string {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("ffmpeg is missing")
		}
		t.Skip("ffmpeg is not on the PATH")
	}
	path := filepath.Join(folder, name)
	cmd := exec.Command("ffmpeg", "-v", "error", "-y", "-f", "lavfi", "-i", "testsrc2=s=64x48:r=30000/1001,noise=alls=20", "-frames:v", "30", path)
	var said bytes.Buffer
	cmd.Stderr = &said
	require.NoError(t, cmd.Run(), said.String())
	return path
}

func TestAMovieGetsAStudy(t *testing.T) {
	folder := t.TempDir()
	path := movie(t, folder, "dive.mp4")
	w, err := Open(t.Context(), path)
	require.NoError(t, err)
	defer w.Close()
	c := w.Study.Clip
	assert.Equal(t, path, c.Path)
	assert.Equal(t, 0, c.First)
	assert.Equal(t, 30, c.Count)
	assert.Equal(t, [2]int{30000, 1001}, c.Rate)
	assert.Greater(t, c.Noise[1], 0.01)
	require.NoError(t, w.Study.Validate())
	require.NoError(t, study.Save(filepath.Join(folder, "dive.halocline"), w.Study))

	again, err := Open(t.Context(), filepath.Join(folder, "dive.halocline"))
	require.NoError(t, err)
	defer again.Close()
	assert.True(t, again.Clip.IsMovie())
	assert.Equal(t, w.Study, again.Study)
	_, err = again.Renderer.Shown(t.Context(), render.Request{Study: again.Study, Frame: 29})
	require.NoError(t, err)
	require.NoError(t, again.Close())
	_, err = again.Renderer.Shown(t.Context(), render.Request{Study: again.Study, Frame: 3})
	require.ErrorIs(t, err, os.ErrClosed)
}

// What a study says about a movie's codes counts when it is opened again.
func TestMatrixAndRangeAreKept(t *testing.T) {
	folder := t.TempDir()
	path := movie(t, folder, "dive.mp4")
	w, err := OpenMovie(t.Context(), path, clip.Options{Matrix: "bt2020", Range: "full"})
	require.NoError(t, err)
	defer w.Close()
	assert.Equal(t, []string{"bt2020", "full"}, []string{w.Study.Clip.Matrix, w.Study.Clip.Range})
	again, err := FromStudy(t.Context(), w.Study.Clone(), "")
	require.NoError(t, err)
	defer again.Close()
	assert.Equal(t, "chosen", again.Clip.Info().Movie.MatrixFrom)
	assert.Equal(t, "full", again.Clip.Info().Movie.Range)
	want, err := w.Clip.Frame(t.Context(), 7)
	require.NoError(t, err)
	got, err := again.Clip.Frame(t.Context(), 7)
	require.NoError(t, err)
	assert.Equal(t, want, got)
}

// A study that changes its mind takes effect at once, and back again.
func TestMatrixAndRangeOfAnOpenWork(t *testing.T) {
	w, err := Open(t.Context(), movie(t, t.TempDir(), "dive.mp4"))
	require.NoError(t, err)
	defer w.Close()
	shown := func(matrix, codes string) []float32 {
		s := w.Study.Clone()
		s.Clip.Matrix, s.Clip.Range = matrix, codes
		m, err := w.Renderer.Shown(t.Context(), render.Request{Study: s, Frame: 4})
		require.NoError(t, err)
		return m.R.Pix
	}
	tagged := shown("", "")
	assert.NotEqual(t, tagged, shown("bt2020", ""))
	assert.NotEqual(t, tagged, shown("", "full"))
	assert.Equal(t, tagged, shown("bt601", "limited"), "what an untagged small movie is anyway")
	assert.Equal(t, tagged, shown("", ""))
}

func TestAMovieThatLostFrames(t *testing.T) {
	folder := t.TempDir()
	w, err := Open(t.Context(), movie(t, folder, "dive.mp4"))
	require.NoError(t, err)
	defer w.Close()
	s := w.Study.Clone()
	s.Clip.Count = 31
	_, err = FromStudy(t.Context(), s, "")
	require.ErrorContains(t, err, "has 30 frames from 0, want 31 frames from 0 as in the study")
}
