package work

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/assets"
)

func TestSampleIsThereAtOnce(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "cache", "halocline")
	w, truth, err := Sample(t.Context(), folder)
	require.NoError(t, err)
	assert.Empty(t, w.Path, "it has no file yet")
	assert.True(t, IsSample(w.Study))
	assert.Equal(t, SampleName, filepath.Base(w.Study.Clip.Path))
	assert.True(t, filepath.IsAbs(w.Study.Clip.Path))
	shown, err := w.Renderer.Shown(t.Context(), render.Request{Study: w.Study, Frame: w.Study.Clip.First})
	require.NoError(t, err)
	width, height := shown.Size()
	assert.Equal(t, []int{width, height}, []int{truth.W, truth.H})
	for _, v := range truth.Pix {
		require.True(t, v >= 0 && v <= 1)
	}
}

// A second start writes nothing; a damaged frame is mended.
func TestSampleIsUnpackedOnce(t *testing.T) {
	folder := t.TempDir()
	w, _, err := Sample(t.Context(), folder)
	require.NoError(t, err)
	path := w.Study.Clip.Path
	long := time.Now().Add(-time.Hour).Truncate(time.Second)
	require.NoError(t, os.Chtimes(path, long, long))
	again, _, err := Sample(t.Context(), folder)
	require.NoError(t, err)
	assert.Equal(t, w.Study, again.Study)
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.True(t, info.ModTime().Equal(long), "not written again")

	require.NoError(t, os.WriteFile(path, assets.SamplePNG[:5000], 0o666))
	_, _, err = Sample(t.Context(), folder)
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, assets.SamplePNG, text)
}

func TestSampleWhereNothingCanBeWritten(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o666))
	_, _, err := Sample(t.Context(), file)
	require.ErrorContains(t, err, file)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, _, err = Sample(ctx, t.TempDir())
	require.ErrorIs(t, err, context.Canceled)
}

// save saves a session's study beside a copy of its footage, as the window does.
func save(t *testing.T, w *Work, session *study.Session, path string) {
	relink, err := w.CopyFootage(t.Context(), path)
	require.NoError(t, err)
	require.NoError(t, session.Edit("Take the picture along", relink))
	require.NoError(t, session.SaveAs(path))
}

func TestASavedSampleFindsItsFrame(t *testing.T) {
	cache, home := t.TempDir(), t.TempDir()
	w, _, err := Sample(t.Context(), cache)
	require.NoError(t, err)
	session := study.NewSession(w.Study, "")
	path := filepath.Join(home, "first.halocline")
	save(t, w, session, path)
	save(t, w, session, path) // the same bytes are there
	require.NoError(t, os.RemoveAll(cache))

	moved := filepath.Join(t.TempDir(), "moved")
	require.NoError(t, os.Rename(home, moved))
	again, err := Open(t.Context(), filepath.Join(moved, "first.halocline"))
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(moved, SampleName), again.Study.Clip.Path)
	assert.True(t, IsSample(again.Study))
}

func TestCopyFootageReplacesNothing(t *testing.T) {
	w, _, err := Sample(t.Context(), t.TempDir())
	require.NoError(t, err)
	before := w.Study.Clone()
	home := t.TempDir()
	mine := filepath.Join(home, SampleName)
	for _, text := range []string{"mine", string(assets.SamplePNG[:len(assets.SamplePNG)-1]) + "x"} {
		require.NoError(t, os.WriteFile(mine, []byte(text), 0o666))
		relink, err := w.CopyFootage(t.Context(), filepath.Join(home, "first.halocline"))
		require.ErrorIs(t, err, fs.ErrExist)
		require.ErrorContains(t, err, mine)
		assert.Nil(t, relink)
		after, err := os.ReadFile(mine)
		require.NoError(t, err)
		assert.Equal(t, text, string(after))
	}
	require.NoError(t, os.Remove(mine))
	require.NoError(t, os.Mkdir(mine, 0o777))
	_, err = w.CopyFootage(t.Context(), filepath.Join(home, "first.halocline"))
	require.ErrorIs(t, err, fs.ErrExist)

	_, err = w.CopyFootage(t.Context(), filepath.Join(home, "gone", "first.halocline"))
	require.ErrorIs(t, err, fs.ErrNotExist)
	assert.Equal(t, before, w.Study)

	var missing *study.FootageError
	require.NoError(t, os.Remove(w.Study.Clip.Path))
	_, err = w.CopyFootage(t.Context(), filepath.Join(t.TempDir(), "first.halocline"))
	require.ErrorAs(t, err, &missing)
}

func TestCopyFootageStopsWithItsContext(t *testing.T) {
	w, _, err := Sample(t.Context(), t.TempDir())
	require.NoError(t, err)
	home := t.TempDir()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = w.CopyFootage(ctx, filepath.Join(home, "first.halocline"))
	require.ErrorIs(t, err, context.Canceled)
	list, err := os.ReadDir(home)
	require.NoError(t, err)
	assert.Empty(t, list)
}
