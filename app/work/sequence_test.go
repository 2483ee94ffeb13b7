package work

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

// sequence writes frames of different shades, and returns their folder.
func sequence(t *testing.T, numbers ...int) string {
	t.Helper()
	folder := t.TempDir()
	for _, n := range numbers {
		picture(t, folder, fmt.Sprintf("dive.%d.png", n), uint8(10*n))
	}
	return folder
}

func TestAFolderGetsAStudyOfItsSequence(t *testing.T) {
	folder := sequence(t, 3, 4, 6, 10)
	for _, open := range []func() (*Work, error){
		func() (*Work, error) { return Open(t.Context(), folder) },
		func() (*Work, error) { return OpenSequence(t.Context(), filepath.Join(folder, "dive.10.png")) },
	} {
		w, err := open()
		require.NoError(t, err)
		c := w.Study.Clip
		assert.Equal(t, filepath.Join(folder, "dive.3.png"), c.Path)
		assert.Equal(t, []int{3, 4}, []int{c.First, c.Count})
		assert.Equal(t, [2]int{25, 1}, c.Rate)
		want, err := study.Measure(t.Context(), c.Path)
		require.NoError(t, err)
		assert.Equal(t, want, c.Footage, "the first file's")
		require.NoError(t, w.Study.Validate())
		assert.Equal(t, []string{"dive.3.png to dive.10.png: The sequence runs from 3 to 10 and lacks frames 5, 7-9."}, w.Notices)
		for n, red := range map[int]float64{4: 40, 10: 100} {
			m, err := w.Renderer.Shown(t.Context(), render.Request{Study: w.Study, Frame: n})
			require.NoError(t, err)
			assert.InDelta(t, red/255, m.R.Pix[0], 1e-6, "frame %d", n)
		}
		_, err = w.Renderer.Shown(t.Context(), render.Request{Study: w.Study, Frame: 5})
		require.ErrorIs(t, err, clip.ErrNoFrame)
	}
	one, err := Open(t.Context(), filepath.Join(folder, "dive.4.png"))
	require.NoError(t, err)
	assert.Equal(t, []int{4, 1}, []int{one.Study.Clip.First, one.Study.Clip.Count}, "a named file is a still")
	assert.Zero(t, one.Study.Clip.Rate)
}

func TestASequencesStudyIsOpenedAgain(t *testing.T) {
	folder := sequence(t, 3, 4, 6)
	w, err := Open(t.Context(), folder)
	require.NoError(t, err)
	path := filepath.Join(folder, "dive.halocline")
	require.NoError(t, study.Save(path, w.Study))
	again, err := Open(t.Context(), path)
	require.NoError(t, err)
	assert.Equal(t, w.Study, again.Study)
	assert.Equal(t, []int{3, 4, 6}, again.Clip.Frames())
	assert.True(t, again.Clip.IsSequence())

	// Frames that have come since are there, also before the first.
	picture(t, folder, "dive.07.png", 70)
	picture(t, folder, "dive.2.png", 20)
	again, err = Open(t.Context(), path)
	require.NoError(t, err)
	assert.Equal(t, []int{2, 3, 4, 6, 7}, again.Clip.Frames())
	assert.Equal(t, 3, again.Study.Clip.First)
	assert.Contains(t, again.Notices, "dive.2.png to dive.07.png: It has 5 frames from 2 now; the study was made of 3 frames from 3.")

	for _, gone := range []string{"dive.07.png", "dive.2.png", "dive.4.png"} {
		require.NoError(t, os.Remove(filepath.Join(folder, gone)))
	}
	again, err = Open(t.Context(), path) // one is lost: the others can still be worked on
	require.NoError(t, err)
	assert.Equal(t, []int{3, 6}, again.Clip.Frames())
	assert.Equal(t, 3, again.Study.Clip.Count, "the study stays")
	assert.Equal(t, []string{"dive.3.png to dive.6.png: The sequence runs from 3 to 6 and lacks frames 4-5.",
		"dive.3.png to dive.6.png: It has 2 frames from 3 now; the study was made of 3 frames from 3."}, again.Notices)
	_, err = again.Renderer.Source(t.Context(), again.Study, 4)
	require.ErrorIs(t, err, clip.ErrNoFrame)

	picture(t, folder, "dive.4.png", 40)
	picture(t, folder, "dive.3.png", 99)
	var wrong *study.FootageError
	_, err = Open(t.Context(), path)
	require.ErrorAs(t, err, &wrong, "the first is another picture")
}

// A folder of one frame is a sequence too: frames may still come.
func TestASequenceOfOneFrame(t *testing.T) {
	folder := sequence(t, 8)
	w, err := Open(t.Context(), folder)
	require.NoError(t, err)
	path := filepath.Join(folder, "dive.halocline")
	require.NoError(t, study.Save(path, w.Study))
	picture(t, folder, "dive.9.png", 90)
	again, err := Open(t.Context(), path)
	require.NoError(t, err)
	assert.Equal(t, []int{8, 9}, again.Clip.Frames())
}

func TestNoiseIsTheMedianOfFiveFrames(t *testing.T) {
	folder := t.TempDir()
	var all [][3]float64
	for n := range 9 { // the first and last are still water: two of five
		path := picture(t, folder, fmt.Sprintf("dive.%d.png", n), 10)
		if n == 0 || n == 8 {
			continue
		}
		m, _, err := clip.Read(t.Context(), path)
		require.NoError(t, err)
		all = append(all, colour.Noise(m))
	}
	flat(t, folder, "dive.0.png")
	flat(t, folder, "dive.8.png")
	w, err := Open(t.Context(), folder)
	require.NoError(t, err)
	assert.Equal(t, Readable(all[0]), w.Study.Clip.Noise)
	assert.Greater(t, w.Study.Clip.Noise[0], 0.001)

	// One of the five that cannot be read is told of and left out; not the first.
	spoilt := filepath.Join(folder, "dive.4.png")
	require.NoError(t, os.WriteFile(spoilt, []byte("sand"), 0o666))
	w, err = Open(t.Context(), folder)
	require.NoError(t, err)
	require.Len(t, w.Notices, 1)
	assert.Contains(t, w.Notices[0], "Noise was measured without one of its frames (clip: "+spoilt+": it is a text file")
	assert.InDelta(t, all[0][0]/2, w.Study.Clip.Noise[0], 1e-6, "the middle two of four")
	require.NoError(t, os.Truncate(filepath.Join(folder, "dive.0.png"), 40))
	_, err = Open(t.Context(), folder)
	require.ErrorIs(t, err, clip.ErrDamaged)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = Open(ctx, sequence(t, 1, 2))
	require.ErrorIs(t, err, context.Canceled)
}

// flat writes a picture without noise of the size of the others.
func flat(t *testing.T, folder, name string) {
	t.Helper()
	m := colour.NewImage(32, 24)
	writePNG(t, filepath.Join(folder, name), m.RGBA(nil))
}

func TestSpread(t *testing.T) {
	frames := make([]int, 0, 72)
	for n := range 72 {
		frames = append(frames, n+1)
	}
	assert.Equal(t, []int{1, 18, 36, 54, 72}, Spread(frames, 5))
	for n := range 12 {
		got := Spread(frames[:n], 5)
		assert.Len(t, got, min(n, 5))
		assert.True(t, slices.IsSorted(got))
		assert.Len(t, slices.Compact(got), len(got), "no frame twice")
	}
}

func TestASequenceIsNotCopied(t *testing.T) {
	w, err := Open(t.Context(), sequence(t, 1, 2))
	require.NoError(t, err)
	_, err = w.CopyFootage(t.Context(), filepath.Join(t.TempDir(), "a.halocline"))
	require.EqualError(t, err, "work: dive.1.png to dive.2.png is a sequence of 2 files, want a still to copy beside the study")
}
